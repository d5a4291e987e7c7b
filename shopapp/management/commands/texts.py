"""Refresh the catalogues of texts from the source, or say what is stale in them."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from shopapp.management import texts


class Command(BaseCommand):
    help = "Read the texts out of the source and write the catalogues under shopapp/locale anew."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--check", action="store_true", help="Write nothing; exit 1 where one is stale.")
        parser.add_argument("--add", metavar="LOCALE", help="Begin a language, such as de or pt_BR.")

    def handle(self, *args: Any, **options: Any) -> None:
        source = texts.in_source()
        if options["check"]:
            wrong = [line for locale in texts.locales() for line in texts.stale(locale, source)]
            self.stdout.write("\n".join(wrong) or "The catalogues say what the source says.")
            sys.exit(1 if wrong else 0)
        for locale in sorted({*texts.locales(), *filter(None, [options["add"]])}):
            old = texts.read(locale)
            new = texts.refreshed(locale, source, old)
            texts.write(locale, new)
            self._tell(locale, texts.as_dict(old), texts.as_dict(new))

    def _tell(
        self, locale: str, before: dict[texts.Text, texts.Text], now: dict[texts.Text, texts.Text]
    ) -> None:
        self.stdout.write(
            f"{locale}: {len(now)} texts, {len(before.keys() - now.keys())} gone. New, to be read over:"
        )
        for text in sorted(now.keys() - before.keys(), key=str):
            self.stdout.write(f"  {now[text]}")

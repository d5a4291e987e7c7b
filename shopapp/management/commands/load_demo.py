"""Load the demo shop, Saltmarsh Damper Works, into an empty database."""

from argparse import ArgumentParser
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from shopapp.demo.load import load
from shopapp.demo.master import ZONE
from shopapp.shop.services.acts import Refused

PAPERS_AFTER = timedelta(minutes=3)
MOST = 50


class Command(BaseCommand):
    help = "Fill an empty database with the invented shop."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--seed", type=int, default=1187, help="what the invented readings are drawn from"
        )
        parser.add_argument(
            "--today", type=date.fromisoformat, default=None, help="the day the shop stands at, YYYY-MM-DD"
        )
        parser.add_argument(
            "--scale", type=int, default=1, choices=range(MOST + 1), metavar="N",
            help="how many times sixty customers with eighteen months of orders; 0 for the last orders alone",
        )  # fmt: skip

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            made = load(
                seed=options["seed"],
                today=options["today"] or _today(),
                scale=options["scale"],
                papers_from=timezone.now() + PAPERS_AFTER,
                say=self.stdout.write if options["verbosity"] else lambda _words: None,
            )
        except Refused as no:
            raise CommandError(no.sentence) from no
        self.stdout.write(
            "Demo shop loaded: " + ", ".join(f"{count} {what}" for what, count in made.items()) + "."
        )


def _today() -> date:
    """Give the day as it is where the demo's shop stands, which may be another than in UTC."""
    return timezone.now().astimezone(ZoneInfo(ZONE)).date()

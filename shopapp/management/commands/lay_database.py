"""Make the database ready to serve, for deploy/run.sh: migrate, read its triggers back, say whose shop it holds."""

import io
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand

from shopapp.people.models import Person
from shopapp.shop.queries import this_shop


class Command(BaseCommand):
    help = "Migrate, check the database, and print `empty` (nobody works here yet), `demo` or `own`."

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", interactive=False, verbosity=0)
        call_command("check", databases=["default"], stdout=io.StringIO())
        self.stdout.write(self._whose())

    def _whose(self) -> str:
        shop = this_shop()
        if shop is not None and shop.is_demo:
            return "demo"
        return "own" if shop is not None or Person.objects.exists() else "empty"

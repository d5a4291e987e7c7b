"""Print the log-ins of the demo shop."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shopapp.demo import names
from shopapp.shop.queries import this_shop


class Command(BaseCommand):
    help = "Print the three log-ins of the demo shop (only where it is loaded)."

    def handle(self, *args: Any, **options: Any) -> None:
        shop = this_shop()
        if shop is None or not shop.is_demo:
            raise CommandError("The demo shop is not loaded here.")
        for person in names.PEOPLE:
            if person.shown:
                self.stdout.write(f"  {person.shown:<12} {person.login:<8} {names.PASSWORD}")

"""Print the link of the first start, by which the owner sets a log-in name and a password."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.urls import reverse

from shopapp.people.queries import owner_exists
from shopapp.people.services import staff


class Command(BaseCommand):
    help = "Print a link, good once and from this machine alone; print nothing where the shop has an owner."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--address", default=settings.PUBLIC_ADDRESS, help="where the shop answers, http://host:port"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if owner_exists():
            return
        path = reverse("set-up", kwargs={"secret": staff.make_owner_link()})
        self.stdout.write("This shop has no owner yet. Open this link on this machine; it is good once:")
        self.stdout.write(f"  {options['address'].rstrip('/')}{path}")

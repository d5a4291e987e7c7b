"""Derive every projection again from the ledgers and print each difference; exit 1 where there is one."""

import sys
from typing import Any

from django.core.management.base import BaseCommand

from shopapp.shop import books


class Command(BaseCommand):
    help = "Derive stock, jobs, papers and money again from the ledgers; print every difference."

    def handle(self, *args: Any, **options: Any) -> None:
        found = books.differences()
        for difference in found:
            self.stdout.write(str(difference))
        if found:
            self.stdout.write(f"{len(found)} differences in {len(books.REGISTRY)} books")
            sys.exit(1)
        self.stdout.write(
            f"The books agree: {len(books.REGISTRY)} checked ({', '.join(sorted(books.REGISTRY))})."
        )

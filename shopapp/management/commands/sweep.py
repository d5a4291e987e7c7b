"""Sweep the outbox and other due work: once, or for ever in the embedded default (no broker)."""

import logging
import signal
import threading
import time
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.db import DatabaseError, close_old_connections
from django.utils import timezone

from shopapp.papers import orphans
from shopapp.shop.services import outbox

logger = logging.getLogger(__name__)
A_DAY = 24 * 3600.0


class Command(BaseCommand):
    help = (
        "Do what is due in the outbox, and take away files that no row names. With --forever it sleeps between "
        "sweeps and ends on SIGTERM."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--forever", action="store_true", help="keep sweeping until stopped")

    def handle(self, *args: Any, **options: Any) -> None:
        self.files_at = -A_DAY
        if not options["forever"]:
            self._sweep()
            return
        stop = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stop.set())
        while not stop.is_set():
            self._sweep_on()
            stop.wait(settings.SWEEP_EVERY_SECONDS)

    def _sweep(self) -> None:
        ended = outbox.sweep(at=timezone.now())
        if ended:
            self.stdout.write(", ".join(f"{count} {state}" for state, count in sorted(ended.items())))
        if time.monotonic() - self.files_at >= A_DAY:
            self.files_at = time.monotonic()
            gone = orphans.sweep(at=timezone.now())
            if gone:
                self.stdout.write(f"{gone} files taken away that no row names")

    def _sweep_on(self) -> None:
        """Sweep once; a database that is busy or away for a moment does not end the sweeper."""
        try:
            close_old_connections()
            self._sweep()
        except DatabaseError as problem:
            logger.warning("sweep put off: %s", type(problem).__name__)

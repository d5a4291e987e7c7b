"""Sweep the outbox and other due work: once, or for ever in the embedded default (no broker)."""

import signal
import threading
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.db import close_old_connections
from django.utils import timezone

from shopapp.shop.services import outbox


class Command(BaseCommand):
    help = "Do what is due in the outbox. With --forever it sleeps between sweeps and ends on SIGTERM."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--forever", action="store_true", help="keep sweeping until stopped")

    def handle(self, *args: Any, **options: Any) -> None:
        stop = threading.Event()
        if options["forever"]:
            signal.signal(signal.SIGTERM, lambda *_: stop.set())
            signal.signal(signal.SIGINT, lambda *_: stop.set())
        while True:
            close_old_connections()
            ended = outbox.sweep(at=timezone.now())
            if ended:
                self.stdout.write(", ".join(f"{count} {state}" for state, count in sorted(ended.items())))
            if not options["forever"] or stop.wait(settings.SWEEP_EVERY_SECONDS):
                return

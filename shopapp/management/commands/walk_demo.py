"""Take one new demo order from the counter to hand-over over HTTP; print each stage, the papers, the books' verdict."""

import hashlib
import sys
import time
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from shopapp.demo.walk import Walked, WalkFailed, walk
from shopapp.papers.models import PaperFile
from shopapp.shop import books
from shopapp.shop.queries import this_shop


class Command(BaseCommand):
    help = "Walk one demo order over HTTP. Only on a demo shop, against a running server."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--address", default="http://127.0.0.1:8000", help="where the server answers")
        parser.add_argument("--seed", type=int, default=None, help="what the readings are drawn from")

    def handle(self, *args: Any, **options: Any) -> None:
        shop = this_shop()
        if shop is None or not shop.is_demo:
            raise CommandError("The walk writes an invented order: it runs on the demo shop alone.")
        seed = options["seed"] if options["seed"] is not None else time.time_ns() % 1_000_000
        began = time.monotonic()
        try:
            walked = walk(options["address"], seed=seed, say=lambda line: self.stdout.write(f"  {line}"))
        except (WalkFailed, OSError) as problem:
            raise CommandError(f"The walk stopped (seed {seed}): {problem}") from problem
        self._papers(walked)
        self.stdout.write(f"  Walked in {time.monotonic() - began:.1f} s (seed {seed})")
        found = books.differences()
        for difference in found:
            self.stdout.write(str(difference))
        verdict = f"{len(found)} differences" if found else f"they agree, {len(books.REGISTRY)} checked"
        self.stdout.write(f"  Books: {verdict}")
        sys.exit(1 if found else 0)

    def _papers(self, walked: Walked) -> None:
        for title, pk, pdf in (
            ("Report", walked.report, walked.report_pdf),
            ("Invoice", walked.invoice, walked.invoice_pdf),
        ):
            row = PaperFile.objects.get(paper_id=pk)
            if hashlib.sha256(pdf).hexdigest() != row.sha256:
                raise CommandError(f"{title}: the bytes served are not the ones stored.")
            place = Path(settings.MEDIA_ROOT) / row.place
            self.stdout.write(f"  {title}: {place}")

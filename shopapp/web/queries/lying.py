"""What lies where: the part in somebody's hand, what was just laid down, what lies on one shelf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from shopapp.bench.queries.mine import where_words
from shopapp.dampers.services import tags
from shopapp.orders.models import Job, Placing, Shelf
from shopapp.orders.queries import job_state, jobs

LARGEST = 2**62


@dataclass(frozen=True, slots=True)
class InHand:
    """A part that was scanned and not laid down yet, as the page says it."""

    job: Job
    part: str

    @property
    def name(self) -> str:
        """Write it as it stands in the page's address."""
        return f"{self.job.damper.tag}.{self.part}"

    @property
    def tag(self) -> str:
        return tags.show(self.job.damper.tag)

    @property
    def part_words(self) -> str:
        return str(Placing.Part(self.part).label)

    @property
    def where(self) -> str:
        """Say which damper it is of."""
        return where_words(self.job)

    @property
    def lies(self) -> str:
        """Say where it is noted to lie now."""
        return str(getattr(self.job, f"shelf_{self.part}"))

    @property
    def others(self) -> list[tuple[str, str]]:
        """Give the damper's other parts, each as the address and in words: a tag that was typed means the body."""
        tag = self.job.damper.tag
        return [(f"{tag}.{part}", str(words)) for part, words in Placing.Part.choices if part != self.part]


def in_hand(tag: str, part: str) -> InHand | None:
    """Give the part of the open job that a tag stands for; None where no such damper is here."""
    if not tag:
        return None
    rows = Job.objects.filter(damper__tag=tag, is_open=True)
    job = rows.select_related("damper", "order__vehicle").first()
    return InHand(job, part) if job is not None else None


@dataclass(frozen=True, slots=True)
class Laid:
    """What was laid down last, as the page says it."""

    row: Placing
    tag: str
    where: str


def laid(number: str) -> Laid | None:
    """Give a placing by its number as the address has it; None where there is none."""
    if not (number.isascii() and number.isdigit() and int(number[:19]) < LARGEST):
        return None
    rows = Placing.objects.select_related("job__damper", "job__order__vehicle", "shelf", "by")
    row = rows.filter(pk=int(number[:19])).first()
    return Laid(row, tags.show(row.job.damper.tag), where_words(row.job)) if row is not None else None


@dataclass(frozen=True, slots=True)
class OnShelf:
    """A damper of which something lies on a shelf: which parts, and how its job stands."""

    job: Job
    tag: str
    parts: str
    where: str
    mark: str
    words: str


def on_shelf(shelf: Shelf) -> Sequence[OnShelf]:
    """List what lies on a shelf, order by order."""
    on: Any = Q()
    for part in Placing.Part.values:
        on |= Q(**{f"shelf_{part}": shelf.code})
    return [_on_shelf(job, shelf.code) for job in jobs().filter(on, is_open=True)]


def _on_shelf(job: Job, code: str) -> OnShelf:
    parts = ", ".join(
        str(words) for part, words in Placing.Part.choices if getattr(job, f"shelf_{part}") == code
    )
    return OnShelf(job, tags.show(job.damper.tag), parts, where_words(job), *job_state(job))

"""Read one job whole for its report: its sheet as the bench judges it, its entries, the shop's own words."""

from __future__ import annotations

import zoneinfo
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Any

from django.utils import formats, timezone

from shopapp.bench.models import Entry
from shopapp.bench.queries.reading import Sheet, job_of, key_of, read_sheet
from shopapp.bench.queries.steps import SheetStep
from shopapp.calc import units
from shopapp.orders.models import Job
from shopapp.shop.models import Shop
from shopapp.specs.models import SpecFigure, Step

FOUND = (Step.Phase.RECEIVED, Step.Phase.REMOVED)


@dataclass
class Record:
    """One job with all that its report is written from."""

    job: Job
    sheet: Sheet
    entries: list[Entry]
    replaced: dict[Any, Entry] = field(default_factory=dict)

    @property
    def shop(self) -> Shop | None:
        return self.sheet.shop

    @property
    def current(self) -> list[Entry]:
        """The entries that no later one corrects."""
        return [entry for entry in self.entries if entry.pk not in self.replaced]

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.shop.zone if self.shop else "UTC")

    def figure(self, name: str, position: str = "") -> SpecFigure | None:
        """Give the sheet's figure for a position, or the one for all positions."""
        return self.sheet.figures.get((name, position)) or self.sheet.figures.get((name, ""))

    def steps_of(self, name: str, position: str, phases: tuple[str, ...]) -> list[SheetStep]:
        """List the reading steps of a figure at a position in some phases, in the order of the work."""
        return [
            row
            for row in self.sheet.steps
            if row.step.kind == Step.Kind.READING
            and (row.step.figure, row.position) == (name, position)
            and row.step.phase in phases
        ]

    def stands(self, row: SheetStep) -> Entry | None:
        """Give the entry by which a step stands."""
        return self.sheet.satisfying(row.key)

    def last(self, row: SheetStep) -> Entry | None:
        """Give the last current entry of a step, whether it counts or not."""
        found = [entry for entry in self.current if key_of(entry) == row.key]
        return found[-1] if found else None

    def reading(self, name: str, *phases: str, position: str = "") -> Entry | None:
        """Give the reading that counts of the first of these phases that has one."""
        for phase in phases:
            for row in self.steps_of(name, position, (phase,)):
                entry = self.stands(row)
                if entry is not None and entry.kind == Entry.Kind.READING:
                    return entry
        return None

    @cached_property
    def signed(self) -> dict[Any, Entry]:
        """Give the countersignatures by the entry that each is for."""
        return {entry.about_id: entry for entry in self.entries if entry.kind == Entry.Kind.COUNTERSIGN}

    def by(self, entry: Entry) -> str:
        """Give the initials of who recorded an entry, and of who countersigned it: "RQ/MO"."""
        signature = self.signed.get(entry.pk)
        return f"{entry.by.initials}/{signature.by.initials}" if signature else entry.by.initials

    def unsigned(self, entry: Entry) -> bool:
        """Say whether a trainee's entry that nothing corrects was never countersigned."""
        return entry.to_countersign and entry.pk not in self.signed and entry.pk not in self.replaced

    def moment(self, at: datetime | None) -> str:
        """Write a moment in the shop's zone: "25 Nov, 14:32"."""
        return formats.date_format(timezone.localtime(at, self.zone), "j M, H:i") if at else ""

    def day(self, at: datetime | None) -> str:
        """Write the day of a moment in the shop's zone: "25 Nov 2026"."""
        return formats.date_format(timezone.localtime(at, self.zone), "j M Y") if at else ""


def read(pk: int) -> Record:
    """Read a job with its order, damper, sheet and entries."""
    job = job_of(pk)
    if job is None:
        raise Job.DoesNotExist(pk)
    entries = list(
        Entry.objects.filter(job=job)
        .select_related("by", "step", "tool__kind", "wait__ended_by__by")
        .order_by("stored_at", "counter", "pk")
    )
    replaced = {entry.replaces_id: entry for entry in entries if entry.replaces_id}
    return Record(job=job, sheet=read_sheet(job), entries=entries, replaced=replaced)


def with_unit(text: str, unit: str, kind: str) -> str:
    """Write a figure as it was typed, and its unit where none was typed: "2 3/16" with in gives "2 3/16 in".

    One of what is counted stands in the singular, whatever the keypad wrote: "1 clicks" gives "1 click".
    """
    label = units.UNITS_BY_KIND.get(kind, {}).get(unit, unit)
    figure = text.removesuffix(f" {label}")
    if not figure or not figure[-1].isdecimal():
        return text
    return f"{figure} {units.label_after(figure, label)}".strip()


def typed(entry: Entry) -> str:
    """Write an entry's reading as it was typed, with its unit."""
    return with_unit(entry.value_text, entry.value_unit, entry.value_kind)


def payload_answer(entry: Entry) -> str:
    """Give the value of the option or outcome that an entry names."""
    payload = entry.payload if isinstance(entry.payload, dict) else {}
    return str(payload.get("outcome") or payload.get("answer") or "")


def answer(entry: Entry) -> str:
    """Word the answer of a proof, choice or closing: the option's own words, else what was written."""
    value = payload_answer(entry)
    options = entry.step.options if entry.step else []
    words = next((option["words"] for option in options if option.get("value") == value), "")
    if not words and entry.kind == Entry.Kind.CLOSE:
        words = str(dict(Job.Outcome.choices).get(value, ""))
    return str(words or entry.words or value)

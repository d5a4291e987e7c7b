"""Who had which tool while history is written in bulk: one hand at a time, as the bench would have kept it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from shopapp.demo.bulk import Bulk
from shopapp.orders.models import Job
from shopapp.people.models import Person
from shopapp.tools.models import Checkout, Tool


@dataclass(frozen=True)
class Turn:
    """A tool is named at the bench, or a job is closed and its tools come back (no tool); `act_id` is the act of it."""

    at: datetime
    job: Job
    by: Person
    act_id: UUID
    tool: Tool | None = None


@dataclass
class Crib:
    """Keeps what happened in whatever order it is written, and lays the check-outs by when all of it is known."""

    bulk: Bulk
    turns: list[Turn] = field(default_factory=list)

    def settle(self) -> None:
        """Write who had what: whoever names a tool takes it out of another's hand, and a closing gives it back.

        The stories' check-outs stand already: they take a tool away like any other, and may lose it.
        """
        told = list(Checkout.objects.select_related("person"))
        happened: list[tuple[datetime, Turn | Checkout]] = [(turn.at, turn) for turn in self.turns]
        happened += [(row.out_at, row) for row in told]
        held: dict[int, Checkout] = {}
        for at, one in sorted(happened, key=lambda pair: pair[0]):
            if isinstance(one, Checkout):
                _take(held, one, one.person, at)
            elif one.tool is not None:
                self._named(held, one, one.tool)
            else:
                for row in held.values():
                    if row.job_id == one.job.pk:
                        _give_back(row, one.by, at)
        Checkout.objects.bulk_update(told, ["in_at", "took_back"], batch_size=500)
        self.turns = []

    def _named(self, held: dict[int, Checkout], turn: Turn, tool: Tool) -> None:
        has = held.get(tool.pk)
        if has is None or _back(has, turn.at) or (has.job_id, has.person_id) != (turn.job.pk, turn.by.pk):
            row = self.bulk.add(
                Checkout(
                    tool=tool,
                    person=turn.by,
                    job=turn.job,
                    bay=turn.job.bay,
                    out_at=turn.at,
                    act_id=turn.act_id,
                )
            )
            _take(held, row, turn.by, turn.at)


def keep_apart() -> None:
    """Let no tool be out twice at one time: the stories are told one after the other, though their hours run across."""
    held: dict[int, Checkout] = {}
    rows = list(Checkout.objects.select_related("person").order_by("out_at", "pk"))
    before = {row.pk: row.in_at for row in rows}
    for row in rows:
        _take(held, row, row.person, row.out_at)
    cut = [row for row in rows if row.in_at != before[row.pk]]
    Checkout.objects.bulk_update(cut, ["in_at", "took_back"], batch_size=500)


def _take(held: dict[int, Checkout], row: Checkout, by: Person, at: datetime) -> None:
    if row.tool_id in held:
        _give_back(held[row.tool_id], by, at)
    held[row.tool_id] = row


def _give_back(row: Checkout, by: Person, at: datetime) -> None:
    if not _back(row, at):
        row.in_at, row.took_back = at, by


def _back(row: Checkout, at: datetime) -> bool:
    """Say whether a tool was back by then."""
    return row.in_at is not None and row.in_at <= at

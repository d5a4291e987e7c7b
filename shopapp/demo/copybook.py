"""A bench sheet of the past, written without the services: the same entries that the page sends, row by row.

`Form` is the empty sheet of one model and one kind of work, read once. `Copyist` takes what a `Filler` sends, as the
endpoint would, and lays the rows by that the services would have written (the books hold it to that).
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from shopapp.bench import figures, limits, locks
from shopapp.bench.lock_restoring import SPARE
from shopapp.bench.locks import AS_FOUND
from shopapp.bench.models import Entry, Wait
from shopapp.bench.queries.parts import PartNeed, parts_of
from shopapp.bench.queries.preview import preview_sheet
from shopapp.bench.queries.reading import Sheet, record_of
from shopapp.bench.queries.sheet import document_of
from shopapp.bench.queries.steps import CHARGE, SheetStep
from shopapp.bench.services.entry_in import entry_key
from shopapp.bench.services.parts import billed
from shopapp.calc import units
from shopapp.dampers.models import DamperModel
from shopapp.demo.bulk import Bulk
from shopapp.demo.crib import Crib, Turn
from shopapp.demo.fill import Filler
from shopapp.demo.shelves import Shelves
from shopapp.orders.models import Job, OrderLine, WorkType
from shopapp.people.models import Person
from shopapp.specs.models import Procedure
from shopapp.specs.queries import procedure_for
from shopapp.tools.models import Tool

ANY_LOT = [{"id": 0, "on_hand": 10**9}]
KEPT = {*SPARE, "ifp depth", "spring free length"}
"""What a damper comes back with as it left: settings, the IFP's depth, its springs."""

Memory = dict[tuple[str, str], str]


@dataclass
class Form:
    """The empty sheet of one model and one kind of work, with its document, its parts and the limits of its steps."""

    sheet: Sheet
    document: dict[str, Any]
    parts: dict[str, PartNeed]
    limits: dict[str, limits.Limits | None]
    skills: frozenset[str]
    stages: dict[str, str] = field(default_factory=dict)

    @property
    def procedure(self) -> Procedure | None:
        return self.sheet.job.procedure

    def stage_after(self, outcome: str, entries: list[Entry]) -> str:
        """Give the stage at which a job stands that ended so; judged once for each end."""
        if outcome not in self.stages:
            standing = locks.judge(self.sheet.rules, [record_of(entry) for entry in entries])
            if standing.closed != outcome:
                raise ValueError(f"a sheet written in bulk ends as {standing.closed!r}, not as {outcome!r}")
            self.stages[outcome] = standing.stage
        return self.stages[outcome]


def form_of(model: DamperModel, work: WorkType, person: Person, at: datetime) -> Form:
    """Read the sheet that a damper of this model gets for this kind of work."""
    procedure = procedure_for(work.procedure_name, model.construction)
    if procedure is None:
        raise LookupError(f"there is no procedure for {work} of {model}")
    sheet = preview_sheet(procedure, model)
    sheet.job.work_type = work
    document = document_of(sheet, person, at)
    for step in document["steps"]:
        for part in step["parts"]:
            part["lots"] = ANY_LOT
    return Form(
        sheet, document, parts_of(sheet.job), {step.key: sheet.limits_now(step) for step in sheet.steps},
        frozenset(step.step.skill for step in sheet.steps if step.step.skill) - {"releasing"},
    )  # fmt: skip


@dataclass
class Remembering(Filler):
    """A technician at a damper that was here before, or whose neighbour lies beside it: it comes as it left."""

    memory: Memory = field(default_factory=dict)

    def _reading(self, step: dict[str, Any], sheet: dict[str, Any]) -> str:
        place = (step["figure"], step["position"])
        text = self.memory.get(place, "") if step["phase"] in AS_FOUND and step["figure"] in KEPT else ""
        if text:
            text = self._turned(step, text)
            if step["phase"] == "received":
                self.found[place] = text
        else:
            text = super()._reading(step, sheet)
        if step["figure"] in KEPT:
            self.memory[place] = text
        return text

    def _turned(self, step: dict[str, Any], text: str) -> str:
        """Let one customer in five have turned a click since."""
        count, _blank, unit = text.partition(" ")
        if step["figure"] != "adjuster" or unit != "clicks" or self.rng.random() > 0.2:
            return text
        return f"{max(1, int(count) + self.rng.choice((-1, 1)))} clicks"


@dataclass
class Copyist:
    """Takes the entries of one job and lays their rows by."""

    bulk: Bulk
    shelves: Shelves
    crib: Crib
    form: Form
    job: Job
    by: Person
    tools: dict[str, Tool]
    lines: list[OrderLine] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)
    body_k: dict[str, float] = field(default_factory=dict)
    waits: dict[str, Wait] = field(default_factory=dict)

    def look(self) -> dict[str, Any]:
        """Give the document with the charge to set now; everything else of it stands still."""
        return {**self.form.document, "computed": {"charge": {"si": self._charge_now()}}}

    def _charge_now(self) -> float | None:
        for step in self.form.sheet.steps:
            if step.step.figure == CHARGE and step.step.computed == "charge":
                return figures.charge(step.limits, self._body_of(step), self.form.sheet.shop).si
        return None

    def _body_of(self, step: SheetStep) -> float | None:
        return next((self.body_k[key] for key in step.needs if key in self.body_k), None)

    def send(self, body: dict[str, Any]) -> None:
        """Write one entry as the services would."""
        at = datetime.fromisoformat(body["typed_at"])
        step = self.form.sheet.by_key.get(f"{body['step']}:{body['position']}") if body["step"] else None
        row = Entry(
            id=uuid.UUID(body["id"]), job=self.job, step=step.step if step else None, kind=body["kind"],
            phase=step.step.phase if step else "", name=step.step.figure if step else "",
            position=step.position if step else "", words=body.get("words", ""), reason=body.get("reason", ""),
            payload={}, by=self.by, typed_at=at, stored_at=at, counter=body["counter"], act_id=self.bulk.new_id(),
        )  # fmt: skip
        if body.get("tool"):
            row.tool, row.payload = self.tools[body["tool"]], {"tool standing": "good"}
        if row.kind == "reading" and step is not None:
            self._read(row, step, body["text"])
        elif row.kind in ("proof", "choice"):
            row.payload["answer"] = body["answer"]
        elif row.kind == "part" and step is not None:
            self._fit(row, step)
        elif row.kind == "tool":
            self.crib.turns.append(Turn(at, self.job, self.by, row.act_id, row.tool))
        elif row.kind == "wait" and step is not None:
            wait = Wait(entry=row, ends=at + timedelta(minutes=step.step.minutes))
            self.waits[step.key] = self.bulk.add(wait)
        elif row.kind == "wait end" and step is not None:
            wait = self.waits.pop(step.key)
            row.about_id, wait.ended_by = wait.entry.pk, row
        elif row.kind == "close":
            self._close(row, body)
        self.keep(row)

    def keep(self, row: Entry) -> None:
        """Lay an entry by with its act."""
        self.entries.append(row)
        self.bulk.rows.setdefault(Entry, []).append(row)
        self.bulk.act(
            "record_entry", by=row.by, at=row.stored_at, about=("job", self.job.pk), key=entry_key(row.pk),
            result={"entry": str(row.pk), "job": self.job.pk}, pk=row.act_id,
        )  # fmt: skip

    def _read(self, row: Entry, step: SheetStep, text: str) -> None:
        value = units.parse(text, step.unit_kind, step.default_unit, signed=step.signed)
        row.value_kind, row.value_si = value.kind, value.si
        row.value_unit, row.value_text = value.unit, value.text
        if step.step.figure == "body temperature":
            self.body_k[step.key] = value.si
        held = self.form.limits[step.key]
        body = self._body_of(step)
        if step.step.figure == CHARGE and step.limits is not None and body is not None:
            held = limits.at_temperature(step.limits, body, ambient_pa=figures.ambient(self.form.sheet.shop))
        row.outside = limits.judge(held, value.si).outside

    def _fit(self, row: Entry, step: SheetStep) -> None:
        """Issue what the sheet asks for and bill it, as one kit or one item."""
        need = self.form.parts.get(step.step.purpose)
        if need is None:
            raise LookupError(f"the sheet of {self.job} names no part for {step.name}")
        moves = []
        for number, line in enumerate(need.lines, 1):
            lot = self.shelves.take(line.item, line.quantity, row.stored_at)
            moves.append(
                self.shelves.move(
                    lot, line.item, -line.quantity, "issue", line=number, at=row.stored_at, by=self.by,
                    act_id=row.act_id, job=self.job, position=line.position, reason=step.name,
                )
            )  # fmt: skip
        row.payload["moves"] = [move.pk for move in moves]
        row.payload["lots"] = [
            {
                "line": line.line, "item": line.item.code, "name": line.item.name, "position": line.position,
                "quantity": line.quantity, "unit": line.item.unit, "lot": move.lot_id, "batch": move.lot.batch,
            }
            for line, move in zip(need.lines, moves, strict=True)
        ]  # fmt: skip
        if len({move.lot_id for move in moves}) == 1:
            row.lot = moves[0].lot
        if need.kit is not None:
            what, category = need.kit.name, need.kit.tax_category
            quantity, unit, price = Decimal(1), "piece", need.kit.price
        else:
            item = need.lines[0].item
            what, category = item.name, item.tax_category
            quantity, unit, price = billed(item, need.lines[0].quantity)
        self.bill(what, quantity, unit, price, category, comes_from="move", move=moves[0], entry_id=row.pk)

    def bill(
        self, what: str, quantity: Decimal, unit: str, price: Decimal, category: str, **more: Any
    ) -> OrderLine:
        """Lay a line of the order by; under warranty it costs nothing."""
        free = self.job.under_warranty and more.get("comes_from") == "move"
        line: OrderLine = self.bulk.add(
            OrderLine(
                order=self.job.order, job=self.job, what=what, quantity=quantity, unit=unit,
                price=Decimal(0) if free else price, tax_category=category, **more,
            )
        )  # fmt: skip
        self.lines.append(line)
        return line

    def _close(self, row: Entry, body: dict[str, Any]) -> None:
        """Close the job: its tools come back, its projections say how it ended."""
        row.payload["outcome"] = body["outcome"]
        row.payload |= body.get("said", {})
        self.crib.turns.append(Turn(row.stored_at, self.job, self.by, row.act_id))
        job = self.job
        job.state, job.outcome, job.closed_at = Job.State.DONE, body["outcome"], row.stored_at
        job.stage = self.form.stage_after(job.outcome, [*self.entries, row])
        job.comeback_cause = row.payload.get("cause", "")

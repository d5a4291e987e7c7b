"""One damper's job with the whole shipped procedure recorded, written as rows; and its report."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from shopapp.bench import report
from shopapp.bench.models import Entry, Wait
from shopapp.calc import units
from shopapp.customers import services as customers
from shopapp.dampers import services as dampers
from shopapp.orders import services as orders
from shopapp.orders.models import Job
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.models import Act, Shop
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call
from shopapp.specs import figures as registry
from shopapp.specs import services as specs
from shopapp.specs.models import Step
from shopapp.stock.models import Item, Lot, StockMove
from shopapp.tools.models import Check, Tool, ToolKind
from tests.specs.sheets import figure, whole

NOW = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)
PROCEDURE = "Rebuild, reservoir with IFP"

READ = {
    "settings-eyes": "28 1/16",
    "settings-preload": "2 3/16",
    "settings-adjusters:rebound": "17",
    "settings-adjusters:compression": "11",
    "settings-gap-1": "1.1 mm",
    "settings-gap-2": "0.045 in",
    "settings-gap-3": "1 mm",
    "release-temperature": "18 °C",
    "release-found": "131.5",
    "strip-ifp-depth": "3 1/2",
    "strip-oil-amount": "1046",
    "rod-nut-torque": "32",
    "ifp-depth": "3 1/4",
    "charge-temperature": "42 °C",
    "charge-gas": "151.9 psi",
    "restore-preload": "2 5/16",
    "restore-adjusters:rebound": "8",
    "restore-adjusters:compression": "13",
    "restore-gap-1": "1 mm",
    "restore-gap-2": "1 mm",
    "restore-gap-3": "1 mm",
}
UNREADABLE = {"close-seal-head-torque": "snug, by hand and a short bar"}
DEFAULTS = {"oil volume": "mL", "body temperature": "degC", "charge": "psi", "nut torque": "lbf*ft"}


@dataclass
class Bay:
    """Writes entries of one job, a minute apart, as rows."""

    job: Job
    by: Person
    count: int = 0
    entries: dict[str, Entry] = field(default_factory=dict)

    def moment(self) -> dt.datetime:
        return NOW + dt.timedelta(minutes=self.count)

    def write(self, kind: str, code: str = "", position: str = "", **more: Any) -> Entry:
        """Write one entry for the step `code` at a position."""
        self.count += 1
        step = self.job.procedure.steps.get(code=code) if code else None
        act = Act.objects.create(
            key=f"entry:{uuid.uuid4()}", verb="record_entry", by=self.by, at=self.moment()
        )
        row = Entry.objects.create(
            job=self.job, step=step, kind=kind, position=position or (step.position if step else ""),
            phase=step.phase if step else "", name=step.figure if step else "",
            by=more.pop("by", self.by), typed_at=self.moment(), stored_at=self.moment(), counter=self.count,
            act=act, **more,
        )  # fmt: skip
        self.entries[f"{code}:{position}".strip(":")] = row
        return row

    def read(self, code: str, text: str, position: str = "", **more: Any) -> Entry:
        """Write a reading as it would be typed."""
        step = self.job.procedure.steps.get(code=code)
        name = registry.NAMES[step.figure]
        unit = DEFAULTS.get(step.figure, "click" if step.figure == "adjuster" else name.default_unit)
        value = units.parse(text, name.kind, unit, signed=name.signed)
        return self.write(
            "reading", code, position, value_kind=value.kind, value_si=value.si, value_unit=value.unit,
            value_text=value.text, **more,
        )  # fmt: skip

    def whole(self, **changed: str) -> None:
        """Record every step of the procedure in its order; `charge_gas="160"` changes one reading."""
        wanted = READ | {key.replace("_", "-"): text for key, text in changed.items()}
        for step in self.job.procedure.steps.order_by("order"):
            for position in ("rebound", "compression") if step.repeat == Step.Repeat.ADJUSTERS else ("",):
                self.step(step, position, wanted)

    def step(self, step: Step, position: str, wanted: dict[str, str]) -> None:
        """Record one step as a good job does."""
        key = f"{step.code}:{position}".strip(":")
        if step.kind == Step.Kind.READING and key in wanted:
            self.read(step.code, wanted[key], position)
        elif step.kind == Step.Kind.READING:
            self.write("unreadable", step.code, position, words=UNREADABLE.get(step.code, "worn away"))
        elif step.kind == Step.Kind.WAIT:
            begun = self.write("wait", step.code)
            wait = Wait.objects.create(entry=begun, ends=self.moment() + dt.timedelta(minutes=step.minutes))
            self.count += step.minutes
            wait.ended_by = self.write("wait end", step.code, about=begun)
            wait.save()
        elif step.kind in (Step.Kind.PROOF, Step.Kind.CHOICE):
            option = next(option for option in step.options if option["passes"])
            self.write(step.kind, step.code, payload={"answer": option["value"]}, words=option["words"])
        elif step.kind == Step.Kind.TOOL:
            self.write("tool", step.code, tool=a_tool(step.tool_kind, self.by))
        elif step.kind == Step.Kind.PART:
            self.part(step)
        elif step.kind == Step.Kind.DO:
            self.write("do", step.code)

    def part(self, step: Step) -> None:
        """Fit a kit or the oil, with the moves that it takes."""
        row = self.write("part", step.code)
        wanted = (
            [("OIL-15", "Oil, 15 mm²/s at 40 °C", "0.1 mL", 11200, "", "88-041")]
            if step.purpose == "oil"
            else [
                ("OR-210", "O-ring", "piece", 2, "cap", "2606-B"),
                ("WI-25", "Wiper", "piece", 1, "seal head", "2606-B"),
            ]
        )
        for line, (code, name, unit, quantity, position, batch) in enumerate(wanted, start=1):
            item = Item.objects.get_or_create(code=code, defaults={"name": name, "unit": unit})[0]
            lot = Lot.objects.get_or_create(item=item, batch=batch, defaults={"received": NOW.date()})[0]
            StockMove.objects.create(
                item=item, lot=lot, quantity=-quantity, kind="issue", job=self.job, position=position,
                by=self.by, at=self.moment(), act=row.act, line=line,
            )  # fmt: skip

    def close(self, outcome: str = "done", words: str = "") -> None:
        """Close the job with an outcome."""
        self.write("close", payload={"outcome": outcome}, words=words)
        self.job.state, self.job.outcome, self.job.closed_at = Job.State.DONE, outcome, self.moment()
        self.job.next_due = dt.date(2028, 11, 25) if outcome == "done" else None
        self.job.save()


def a_tool(kind: str, by: Person) -> Tool:
    """Give a tool of a kind, checked until next year."""
    row = ToolKind.objects.get_or_create(code=kind, defaults={"name": kind.capitalize(), "checked": True})[0]
    tool, made = Tool.objects.get_or_create(tag=f"{kind[:1].upper()}-04", defaults={"kind": row})
    if made:
        act = Act.objects.create(key=f"check:{uuid.uuid4()}", verb="record_check", by=by, at=NOW)
        Check.objects.create(
            tool=tool, kind="calibration", on=dt.date(2026, 3, 3), until=dt.date(2027, 3, 3), passed=True,
            by=by, act=act,
        )  # fmt: skip
    return tool


def a_job(by: Person, technician: Person, **texts: str) -> Job:
    """Receive one damper on a vehicle, with a released sheet, ready for the bench."""
    std: dict[str, Any] = {"by": by, "at": NOW}
    customer = customers.add_customer(
        name=texts.get("customer", "Cobble Hollow Racing"), bill_to=texts.get("bill_to", "4 Mill Lane\nCobble Hollow"),
        language=texts.get("language", "en"), call=Call.fresh(), **std,
    )  # fmt: skip
    vehicle = customers.add_vehicle(
        customer=customer,
        description=texts.get("vehicle", "Long-travel buggy, 2 seats"),
        call=Call.fresh(),
        **std,
    )
    customers.record_meter(
        vehicle=vehicle, distance=units.parse("5980 mi", "distance"), on=NOW.date(), source="read at the counter",
        call=Call.fresh(), **std,
    )  # fmt: skip
    model = dampers.add_model(
        maker=texts.get("maker", "Keldmark"), name="K25", construction=texts.get("construction", "reservoir"),
        adjusters=[
            dampers.NewAdjuster(name="rebound", unit="clicks", counted_from="closed", lowest=0, highest=16),
            dampers.NewAdjuster(name="compression", unit="clicks", counted_from="closed", lowest=0, highest=20),
        ],
        call=Call.fresh(), **std,
    )  # fmt: skip
    spec = specs.draft_spec(
        model=model, basis="maker", source=texts.get("source", "Keldmark sheet 12"),
        figures=[
            *whole(), figure("body bore", "", "2.375", ""),
            figure("spring free length", "", "4 in", "", position="tender"),
            figure("spring rate", "", "200", "", position="tender"),
            figure("spring free length", "", "18 in", "", position="main"),
            figure("spring rate", "", "350", "", position="main"),
        ],
        call=Call.fresh(), **std,
    )  # fmt: skip
    specs.release_spec(spec=spec, call=Call.fresh(), **std)
    work = orders.add_work_type(
        code="rebuild",
        name="Rebuild",
        price=Decimal("186.00"),
        procedure_name=PROCEDURE,
        call=Call.fresh(),
        **std,
    )
    damper = dampers.add_damper(
        serial=texts.get("serial", "KM25-118834"), model=model, customer=customer, call=Call.fresh(), **std
    )
    order = orders.receive_order(
        customer=customer, vehicle=vehicle, complaint=texts.get("complaint", "Knocks after long whoops"),
        dampers=[
            orders.DamperIn(
                damper=damper, work_type=work, place="front left", technician=technician,
                condition=texts.get("condition", "oil under the seal head"),
            )
        ],
        call=Call.fresh(), **std,
    )  # fmt: skip
    return Job.objects.select_related("procedure", "order", "damper").get(order=order)


def report_of(job: Job, by: Person, at: dt.datetime | None = None) -> Paper:
    """Issue the job's report in an act of its own."""
    with acts.doing("report_job", call=Call.fresh(), by=by, at=at or NOW) as act:
        return report.issue_report(job=job, act=act, at=at or NOW)


def dress_shop() -> Shop:
    """Give the shop an address and a footer."""
    Shop.objects.filter(pk=1).update(
        name="Saltmarsh Damper Works", address="Unit 6, Pump Quay", phone="555-0114", email="bench@example.com",
        tax_number="TX-0000-01", report_footer="Oil drained is disposed of by local rules.",
        invoice_footer="Goods stay ours until they are paid.",
    )  # fmt: skip
    return Shop.objects.get(pk=1)

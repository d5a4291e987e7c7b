"""A shop with one order of two dampers, ready for the bench; and entries as technicians type them."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from typing import Any

from shopapp.bench import locks
from shopapp.bench import services as bench
from shopapp.bench.models import Entry
from shopapp.bench.queries.issued import issued_of
from shopapp.bench.queries.reading import Sheet, job_of, read_sheet
from shopapp.bench.queries.steps import SheetStep
from shopapp.bench.services import EntryIn
from shopapp.calc import units
from shopapp.customers import services as customers
from shopapp.dampers import services as dampers
from shopapp.dampers.models import DamperModel
from shopapp.dampers.services import NewAdjuster
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkOrder
from shopapp.orders.services import DamperIn
from shopapp.people.models import Device, Person
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Call, request_hash
from shopapp.specs import services as specs
from shopapp.specs.models import ServiceSpec
from shopapp.specs.services import FigureIn, SpecKitIn, SpecToolIn
from shopapp.stock import services as stock
from shopapp.stock.models import Item, Kit, Lot
from shopapp.stock.services import KitLineIn
from shopapp.tools import services as tools
from shopapp.tools.models import Tool, ToolKind

NOW = dt.datetime(2026, 3, 2, 9, 0, tzinfo=dt.UTC)
PROCEDURE = "Rebuild, reservoir with IFP"
TOOLS = {
    "gauge": "G-04", "torque wrench": "W-01", "depth tool": "D-01", "regulator": "R-01",
    "spring compressor": "C-01", "ifp puller": "P-02",
}  # fmt: skip
FIGURES = [
    ("eye centres", "28 in", "28 1/16 in", "28 1/8 in", False),
    ("preload", "1 3/4 in", "2 1/8 in", "2 3/4 in", False),
    ("collar pitch", "", "2 mm", "", False),
    ("charge", "130 psi", "140 psi", "150 psi", False),
    ("charge most", "", "", "200 psi", True),
    ("ifp depth", "2 7/8 in", "3 in", "3 1/8 in", False),
    ("nut torque", "30 ft-lb", "32 ft-lb", "34 ft-lb", False),
    ("seal head torque", "80 ft-lb", "90 ft-lb", "100 ft-lb", True),
    ("rod diameter", "", "3/4 in", "", False),
    ("stroke", "", "10 in", "", False),
    ("reservoir bore", "", "2 in", "", False),
    ("reservoir length", "", "8 in", "", False),
    ("cap depth", "", "1/2 in", "", False),
    ("ifp thickness", "", "0.6 in", "", False),
    ("oil volume", "", "500 mL", "", False),
    ("oil expansion", "", "0.0007", "", False),
    ("hot temperature", "", "100 °C", "", False),
]
ANSWERS = {
    "settings-springs": "tender main", "settings-divider": "lip to cap", "release-zero": "cap moves",
    "strip-oil": "dark", "strip-nut": "staked", "inspect-rod": "good", "inspect-bores": "good",
    "inspect-bands": "replaced", "inspect-hose": "good", "rod-nut": "new", "ifp-proof-ring": "seated",
    "ifp-proof-seal-head": "home", "ifp-proof-screw": "in", "ifp-proof-rod": "fully out",
    "prove-stroke": "smooth", "prove-tight": "tight", "final-pair": "alike",
}  # fmt: skip
READINGS = {
    "settings-eyes": "28 1/16", "settings-preload": "2 3/16 in", "settings-adjusters": "11",
    "settings-gap-1": "0.08", "settings-gap-2": "0.08", "settings-gap-3": "0.09",
    "release-temperature": "21 °C", "release-found": "132 psi", "strip-ifp-depth": "3 1/16",
    "rod-nut-torque": "32 ft-lb", "close-seal-head-torque": "90", "ifp-depth": "3 in",
    "charge-temperature": "42 °C", "charge-gas": "152 psi", "restore-preload": "2 3/16",
    "restore-adjusters": "11", "restore-gap-1": "0.08", "restore-gap-2": "0.08", "restore-gap-3": "0.09",
    "restore-eyes": "28 1/16",
}  # fmt: skip


def good_until(years: int = 0) -> dt.date:
    """Give a day until which things are good: pages go by the real clock, so it lies a long way off."""
    return NOW.date().replace(year=NOW.year + 100 + years)


def figure(row: tuple[str, str, str, str, bool]) -> FigureIn:
    """Read one figure of the invented sheet."""
    from shopapp.specs.figures import NAMES

    name, *texts, absolute = row
    kind, unit = NAMES[name].kind, NAMES[name].default_unit
    low, target, high = (units.parse(text, kind, unit, signed=True) if text else None for text in texts)
    return FigureIn(name=name, low=low, target=target, high=high, absolute=absolute)


@dataclass
class Bench:
    """The shop of one test, with a hand to record entries."""

    shop: Shop
    desk: Person
    technician: Person
    owner: Person
    device: Device
    order: WorkOrder
    job: Job
    other: Job
    spec: ServiceSpec
    kit: Kit
    oil: Item
    lots: dict[str, Lot]
    tools: dict[str, Tool]
    at: dt.datetime = NOW
    counter: int = 0
    made: list[Entry] = field(default_factory=list)

    def sheet(self, job: Job | None = None) -> Sheet:
        """Read the sheet as it stands."""
        found = job_of((job or self.job).pk)
        assert found is not None
        return read_sheet(found)

    @cached_property
    def steps(self) -> list[SheetStep]:
        """Give the steps of the sheet: they stay as they are while a job runs."""
        return self.sheet().steps

    def step(self, code: str, position: str | None = None) -> SheetStep:
        """Give a step by its code."""
        return next(r for r in self.steps if r.step.code == code and position in (None, r.position))

    def key(self, code: str, position: str | None = None) -> tuple[int, str]:
        """Give step and position of a step by its code."""
        row = self.step(code, position)
        return row.step.pk, row.position

    def entry(self, code: str, kind: str, *, position: str | None = None, **given: Any) -> EntryIn:
        """Type an entry for a step ("" for the whole job); the minutes go on with each."""
        self.counter += 1
        step, place = self.key(code, position) if code else (None, "")
        given.setdefault("id", uuid.uuid4())
        given.setdefault("job", self.job.pk)
        given.setdefault("typed_at", self.at)
        given.setdefault("counter", self.counter)
        if kind == "close" and given.get("outcome") != "done":
            rows = issued_of(self.sheet(Job.objects.get(pk=given["job"])))
            given.setdefault(
                "back", tuple(bench.BackIn(row.move.pk, "") for row in rows)
            )  # all of it was used
        return EntryIn(kind=kind, step=step, position=place, **given)

    def record(self, entry: EntryIn, *, by: Person | None = None, device: Device | None = None) -> Entry:
        """Record an entry as somebody, from the tablet."""
        call = Call(
            key=bench.entry_key(entry.id),
            device=device or self.device,
            request_hash=request_hash(repr(entry)),
        )
        row = bench.record_entry(
            job=Job(pk=entry.job), entry=entry, by=by or self.technician, at=self.at, call=call
        )
        self.made.append(row)
        self.at += dt.timedelta(minutes=1)
        return row

    def do(self, code: str, kind: str, *, by: Person | None = None, **given: Any) -> Entry:
        """Type and record at once."""
        return self.record(self.entry(code, kind, **given), by=by)

    def through(self, last: str, *, skip: tuple[str, ...] = ()) -> None:
        """Record everything that is required, in order, up to and with the step `last`."""
        stop = max(place for place, row in enumerate(self.steps) if row.step.code == last)
        standing = self.sheet().standing.satisfied
        for row in self.steps[: stop + 1]:
            if (
                row.step.code not in skip
                and row.key not in standing
                and (row.step.required or row.step.code == last)
            ):
                self.usual(row.step.code, row.step.kind, row.position)

    def unlock(self, stage: str) -> None:
        """Record only what keeps a stage shut, and what that needs."""
        order = list(locks.ORDER)
        for row in self.steps:
            looked_at = row.step.stage in ("close", "ifp") and row.step.required
            locks_it = row.step.locks and order.index(row.step.locks) <= order.index(stage)
            if locks_it or (looked_at and order.index("charge") <= order.index(stage)):
                self.usual(row.step.code, row.step.kind, row.position)

    def usual(self, code: str, kind: str, position: str = "") -> None:
        """Record what a good job has at a step."""
        if kind == "wait":
            self.do(code, "wait", position=position)
            self.at += dt.timedelta(minutes=90)
            self.do(code, "wait end", position=position)
            return
        given: dict[str, Any] = {"position": position}
        if kind in ("proof", "choice"):
            given["answer"] = ANSWERS[code]
        if kind == "reading":
            given["text"] = READINGS[code]
        if kind in ("tool", "reading"):
            given["tool"] = TOOLS.get(self.step(code).step.tool_kind, "")
        self.do(code, kind, **given)

    def fresh_order(self) -> Job:
        """Receive one more damper like the first in an order of its own; give its job."""
        damper = dampers.add_damper(
            model=self.job.damper.model,
            customer=self.order.customer,
            by=self.desk,
            at=self.at,
            call=Call.fresh(),
        )
        row = DamperIn(damper=damper, work_type=self.job.work_type)
        order = orders.receive_order(
            customer=self.order.customer, dampers=[row], by=self.desk, at=self.at, call=Call.fresh()
        )
        return order.jobs.get()

    def fresh(self, job: Job | None = None) -> Job:
        """Read the job again."""
        found = job_of((job or self.job).pk)
        assert found is not None
        return found


def make_bench(*, shop: Shop, desk: Person, technician: Person, owner: Person, device: Device) -> Bench:
    """Set up a shop through its services: customer, model, sheet, kit, oil, tools, an order of two dampers."""
    by_owner = {"by": owner, "at": NOW}
    by_desk = {"by": desk, "at": NOW}
    model = dampers.add_model(
        maker="Keldmark", name="K25", construction="reservoir", call=Call.fresh(), **by_owner,
        adjusters=[NewAdjuster(name="Rebound", unit="clicks", counted_from="closed", lowest=0, highest=16)],
    )  # fmt: skip
    kit, oil, lots = _stores(by_owner)
    found_tools = _tools(by_owner)
    spec = _spec(model, kit, oil, by_owner)
    work = orders.add_work_type(
        code="rebuild", name="Rebuild", price=Decimal("186.00"), procedure_name=PROCEDURE, interval_months=24,
        call=Call.fresh(), **by_owner,
    )  # fmt: skip
    customer = customers.add_customer(name="Wyn Dallimore", call=Call.fresh(), **by_desk)
    vehicle = customers.add_vehicle(
        customer=customer, description="Long-travel buggy", call=Call.fresh(), **by_desk
    )
    rows = [
        DamperIn(
            damper=dampers.add_damper(
                model=model, customer=customer, serial=serial, call=Call.fresh(), **by_desk
            ),
            work_type=work,
            place=place,
        )
        for serial, place in (("118834", "front left"), ("118835", "front right"))
    ]
    order = orders.receive_order(
        customer=customer, vehicle=vehicle, dampers=rows, promised=NOW + dt.timedelta(days=3),
        call=Call.fresh(), **by_desk,
    )  # fmt: skip
    job, other = order.jobs.order_by("number")
    return Bench(
        shop=shop, desk=desk, technician=technician, owner=owner, device=device, order=order, job=job,
        other=other, spec=spec, kit=kit, oil=oil, lots=lots, tools=found_tools,
    )  # fmt: skip


def _stores(std: dict[str, Any]) -> tuple[Kit, Item, dict[str, Lot]]:
    wiper = stock.add_item(code="wiper-25", name="Wiper", unit="piece", call=Call.fresh(), **std)
    ring = stock.add_item(code="oring-210", name="O-ring 210", unit="piece", call=Call.fresh(), **std)
    oil = stock.add_item(
        code="oil-5", name="Damper oil 5", unit="0.1 mL", price=Decimal("32.00"), call=Call.fresh(), **std
    )
    kit = stock.add_kit(
        code="K25-SEAL", name="Seal kit K25", price=Decimal("64.50"), call=Call.fresh(), **std,
        lines=[KitLineIn(wiper, 1, "wiper"), KitLineIn(ring, 2, "seal head")],
    )  # fmt: skip
    day = NOW.date()
    lots = {}
    for name, item, quantity, years in (
        ("wiper", wiper, 6, 0), ("ring", ring, 3, 0), ("ring-2", ring, 10, 2), ("oil", oil, 100_000, 3),
    ):  # fmt: skip
        lots[name] = stock.receive_lot(
            item=item, batch=f"B-{name}", quantity=quantity, received=day, expires=good_until(years),
            call=Call.fresh(), **std,
        )  # fmt: skip
    return kit, oil, lots


def _tools(std: dict[str, Any]) -> dict[str, Tool]:
    tools.ensure_kinds()
    found = {}
    day = NOW.date()
    for code, tag in TOOLS.items():
        kind = ToolKind.objects.get(code=code)
        narrowing = "M10" if code == "ifp puller" else ""
        tool = tools.add_tool(kind=kind, tag=tag, narrowing=narrowing, call=Call.fresh(), **std)
        if kind.checked:
            tools.record_check(
                tool=tool, kind="calibration", on=day, until=good_until(), passed=True,
                call=Call.fresh(), **std,
            )  # fmt: skip
        found[code] = Tool.objects.select_related("kind").get(pk=tool.pk)
    return found


def _spec(model: DamperModel, kit: Kit, oil: Item, std: dict[str, Any]) -> ServiceSpec:
    spec = specs.draft_spec(
        model=model, basis="shop", source="invented for the tests", call=Call.fresh(), **std,
        figures=[figure(row) for row in FIGURES],
        kits=[SpecKitIn(purpose="kit", kit=kit), SpecKitIn(purpose="oil", item=oil, quantity=4730)],
        tools=[SpecToolIn(ToolKind.objects.get(code="ifp puller"), "M10")],
    )  # fmt: skip
    return specs.release_spec(spec=spec, call=Call.fresh(), **std)

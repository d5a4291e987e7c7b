"""Every shipped procedure from planned to done, through the services, with an invented technician's readings.

On the way each stop is tried too early once, and marked.
"""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from shopapp.bench import services as bench
from shopapp.bench.models import Entry
from shopapp.bench.queries.reading import job_of
from shopapp.bench.queries.sheet import sheet_document
from shopapp.customers import services as customers
from shopapp.customers.models import Customer
from shopapp.dampers import services as dampers
from shopapp.demo.fill import Filler
from shopapp.demo.master import ZONE, Master, load_master
from shopapp.orders import services as orders
from shopapp.orders.models import Job
from shopapp.papers.models import Paper
from shopapp.shop import books
from shopapp.shop.services.acts import Call
from shopapp.specs.models import Procedure

pytestmark = pytest.mark.django_db

TODAY = dt.date(2026, 11, 25)
AT = dt.datetime(2026, 11, 25, 9, tzinfo=ZoneInfo(ZONE))
WALKED = {
    "Rebuild, reservoir with IFP": ("K25", "rebuild"),
    "Rebuild, IFP in the body": ("K18", "rebuild"),
    "Rebuild, reservoir with bladder": ("T4", "rebuild"),
    "Rebuild, emulsion": ("T2", "rebuild"),
    "Rebuild, through-rod": ("S2", "rebuild"),
    "Rebuild, twin-tube": ("B7", "rebuild"),
    "Inspection": ("T2", "inspect"),
    "Spring change": ("K25", "springs"),
}
GUARDED = {"spring off": "do", "strip": "do", "charge": "do"}
"""The stages behind the three stops, and the kind of step that is tried in them too early (never a reading of gas)."""


@dataclass
class Walk:
    """One damper at the bench of the demo's shop, and what was tried too early on the way."""

    master: Master
    job: Job
    tried: dict[str, bool] = field(default_factory=dict)
    counter: int = 100_000

    def look(self) -> dict[str, Any]:
        job = job_of(self.job.pk)
        assert job is not None
        return sheet_document(job=job, person=self.master.people["mo"], at=AT)

    def send(self, body: dict[str, Any]) -> Entry:
        entry = bench.read_entry(body)
        return bench.record_entry(
            job=self.job, entry=entry, by=self.master.people["mo"], at=entry.typed_at,
            call=Call.once(bench.entry_key(entry.id)),
        )  # fmt: skip

    def send_in_turn(self, body: dict[str, Any]) -> None:
        """Send an entry; before one that opens a guarded stage, try that stage."""
        step = next((s for s in self.sheet["steps"] if s["id"] == body["step"]), None)
        guards = step["locks"] if step is not None else ""
        if guards in GUARDED and guards not in self.tried:
            self.tried[guards] = self.too_early(guards, body["typed_at"])
        row = self.send(body)
        assert not row.out_of_order, f"{self.job.procedure}: {step and step['name']} came out of order"

    def too_early(self, stage: str, typed_at: str) -> bool:
        """Record a step of a shut stage: say whether it was marked, and gave nothing."""
        step = next(s for s in self.sheet["steps"] if s["stage"] == stage and s["kind"] == GUARDED[stage])
        self.counter += 1
        made = {"id": f"00000000-0000-4000-8000-{self.job.pk:06}{self.counter:06}", "job": self.job.pk,
                "step": step["id"], "position": step["position"], "kind": step["kind"], "typed_at": typed_at,
                "counter": self.counter}  # fmt: skip
        before = self.look()
        shut = not next(one for one in before["stages"] if one["code"] == stage)["open"]
        row = self.send(made)
        after = self.look()
        satisfied = next(one for one in after["entries"] if one["id"] == str(row.pk))["satisfies"]
        return shut and row.out_of_order and not satisfied

    def go(self) -> Filler:
        self.sheet = self.look()
        filler = Filler(send=self.send_in_turn, look=self.look, rng=random.Random(self.job.pk), at=AT)
        filler.fill()
        filler.close()
        return filler


@pytest.fixture
def master() -> Master:
    made = Master(today=TODAY, began=AT - dt.timedelta(days=30))
    load_master(made)
    return made


def received(master: Master, name: str, model: str, work: str, customer: Customer) -> Job:
    damper = dampers.add_damper(
        model=master.models[model], serial=f"W-{name[:30]}", customer=customer, **master.std("pia")
    )
    row = orders.DamperIn(damper=damper, work_type=master.work_types[work])
    return orders.receive_order(customer=customer, dampers=[row], **master.std("pia", AT)).jobs.get()


def test_every_shipped_procedure_goes_from_planned_to_done(master: Master) -> None:
    assert set(WALKED) == set(Procedure.objects.values_list("name", flat=True))
    customer = customers.add_customer(name="Wyn Dallimore", **master.std("pia"))
    for name, (model, work) in WALKED.items():
        job = received(master, name, model, work, customer)
        assert (str(job.procedure and job.procedure.name), job.state) == (name, Job.State.PLANNED)
        walk = Walk(master, job)
        walk.go()
        stages = {step["stage"] for step in walk.sheet["steps"]}
        assert walk.tried == {stage: True for stage in GUARDED if stage in stages}, name
        job.refresh_from_db()
        assert (job.state, job.outcome) == (Job.State.DONE, Job.Outcome.DONE), name
        assert job.entries.filter(out_of_order=True).count() == len(walk.tried), name
        check_paper(job, stages)
    assert books.differences() == []


def check_paper(job: Job, stages: set[str]) -> None:
    """Hold that the report claims what the procedure proved, and nothing more."""
    figures = Paper.objects.get(kind="rebuild report", subject_id=str(job.pk)).figures
    rebuilt = figures["lead"] == "Rebuilt, charged and proved on the bench."
    assert rebuilt is ("charge" in stages), job.procedure
    assert ("Nothing was opened" in figures["lead"]) is ("strip" not in stages), job.procedure
    assert figures["title"] == f"{job.work_type.name} report"
    assert figures["readings"] and figures["proofs"] and figures["log"], job.procedure
    built = any(row["built"]["verdict"] for row in figures["readings"])
    assert built is ("restore" in stages) and figures["as_found_only"] is not built, job.procedure

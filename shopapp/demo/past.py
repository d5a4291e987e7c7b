"""The demo's history older than four weeks, written in bulk: what came, what was done to it, who paid and when.

It is what the services would have written, and the books hold it to that (`manage.py check_books`). The rebuild
reports alone are not issued; the invoices' files are made by the sweeper, one after the other from `papers_from` on.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from shopapp.bench.services.closing import next_due
from shopapp.customers.models import Customer
from shopapp.dampers.models import Damper
from shopapp.demo import diary, fleet, names
from shopapp.demo.arrivals import Arrivals
from shopapp.demo.bulk import Bulk
from shopapp.demo.copybook import KEPT, Copyist, Form, Memory, Remembering, form_of
from shopapp.demo.crib import Crib
from shopapp.demo.diary import Visit
from shopapp.demo.findings import find_something
from shopapp.demo.history import STORIES, Books
from shopapp.demo.master import ZONE, Master
from shopapp.demo.past_money import Till
from shopapp.demo.shelves import Shelves
from shopapp.due.models import Due
from shopapp.due.reckoning import MONTHS
from shopapp.due.services.noting import update_dues
from shopapp.money.queries import rates_on
from shopapp.money.services import invoices
from shopapp.orders.models import Job, OrderLine, WorkConsent, WorkOrder
from shopapp.orders.services import receiving as orders
from shopapp.people.models import Person
from shopapp.shop.models import Counter, Shop
from shopapp.stock.models import Item

LONG_AGO = 28
"""Days: what is older is written in bulk, but for the stories of names that are told entry by entry."""
A_CHUNK = 40
"""Visits that are written at once."""
FINDS = 0.16
COMPLAINTS = (
    "Oil at the wiper.", "Yearly rebuild.", "Fades after an hour.", "Soft at the front.", "Knocks over ruts.",
    "Sits low on one side.", "Tops out with a knock.", "Due by the meter.", "Rides harsh since the winter.",
)  # fmt: skip
CONDITIONS = ("oil at the wiper", "dry", "dusty, dry", "stone marks on the body", "mud in the spring")
CAUSES = (
    {"cause": "technician"},
    {"cause": "stage", "stage": "fill"},
    {"cause": "customer"},
    {"cause": "other"},
)


@dataclass
class Past:
    """The shop while its past is written. `write` goes on where the last call ended, or the services since."""

    master: Master
    rng: random.Random
    bulk: Bulk
    arrivals: Arrivals
    shelves: Shelves
    crib: Crib
    till: Till
    meters: diary.Meters
    visits: list[Visit]
    firms: list[fleet.Machine]
    say: Callable[[str], None]
    number: int = 0
    forms: dict[tuple[str, str], Form] = field(default_factory=dict)
    memory: dict[int, Memory] = field(default_factory=dict)
    last: dict[int, Job] = field(default_factory=dict)
    dues: dict[int, Due] = field(default_factory=dict)
    limit: WorkConsent | None = None

    def write_until(self, day: date) -> None:
        """Write the visits before a day, in the order of their days."""
        now = [visit for visit in self.visits if visit.day < day]
        self.visits = self.visits[len(now) :]
        if not now:
            return
        self.bulk.begin()
        self.shelves.begin()
        held = dict(Counter.objects.values_list("series", "last"))
        self.number = held.get("order", orders.FIRST_NUMBER - 1)
        self.till.number = held.get("invoice", invoices.FIRST_NUMBER - 1)
        self.arrivals.tags = held["tag"]
        for done, visit in enumerate(now, 1):
            self._visit(visit)
            if done % A_CHUNK == 0:
                self.bulk.flush()
                self.say(f"  {visit.day:%B %Y}, order {self.number}")
        self.shelves.stock_up(_at(now[-1].day, 16, 0))
        if not self.visits:
            self._told_on_the_phone()
            self.crib.settle()
        self._dues()
        self.shelves.finish()
        self.bulk.finish({"order": self.number, "invoice": self.till.number, "tag": self.arrivals.tags})

    def _visit(self, visit: Visit) -> None:
        desk = self.master.people[self.rng.choice(("pia", "pia", "anouk"))]
        at = _at(visit.day, self.rng.randint(8, 11), self.rng.randint(0, 59))
        customer = self.arrivals.customer(visit.owner, at)
        order, jobs, lines = self._receive(visit, customer, desk, at)
        begun, yes = visit.day, []
        for nth, job in enumerate(jobs):
            begun = diary.workday(visit.day + timedelta(days=1 + nth // 2))
            yes += self._work(
                visit, job, lines, desk, _at(begun, 13 if nth % 2 else 8, self.rng.randint(5, 20))
            )
        out = _at(diary.workday(begun + timedelta(days=self.rng.randint(1, 2))), 16, self.rng.randint(0, 50))
        lines.sort(key=lambda line: (line.job.number if line.job else 0, line.pk))
        self.till.issue(order, lines, visit.owner.email, out)
        for consent in yes:
            consent.amount = order.limit_gross
        self._hand_over(order, jobs, customer, desk, out + timedelta(minutes=9))

    def _receive(
        self, visit: Visit, customer: Customer, desk: Person, at: datetime
    ) -> tuple[WorkOrder, list[Job], list[OrderLine]]:
        """Write the order with its jobs, its first lines and what was said yes to."""
        arrivals, rng = self.arrivals, self.rng
        self.number += 1
        vehicle = arrivals.vehicle(visit.machine, customer)
        order: WorkOrder = self.bulk.add(
            WorkOrder(
                number=self.number, customer=customer, vehicle=vehicle, accepted_at=at, received_at=at,
                received_by=desk,
                complaint=_("Came back.") if visit.back else rng.choice(COMPLAINTS), terms=self.master.terms,
                terms_accepted_how="signed at the counter",
                promised=_at(diary.workday(visit.day + timedelta(days=rng.randint(5, 8))), 17, 0),
            )
        )  # fmt: skip
        result = {"order": order.pk, "number": order.number}
        act = self.bulk.act("take_in", by=desk, at=at, about=("order", order.pk), result=result)
        shown, kind = self.meters.shown(visit.machine, visit.day)
        arrivals.meter(vehicle, diary.text_of(visit.machine, shown), at, act.pk, desk, kind=kind)
        self.bulk.find_by("order", order, orders.terms_of)
        technician = self.master.people[rng.choice(("mo", "ilse"))]
        jobs, lines = [], []
        for number, place in enumerate(visit.take, 1):
            damper = arrivals.damper(visit.machine, place, customer, at)
            job = self._job(order, number, damper, visit, place, technician)
            jobs.append(job)
            lines.append(self._first_line(job))
        said = {
            "order": order, "yes": True, "who": customer.name, "how": "signed at the counter", "at": at,
            "taken_by": desk, "act_id": act.pk,
        }  # fmt: skip
        version = str(order.terms.version) if order.terms else ""
        self.bulk.add(WorkConsent(about="terms", about_id=version, **said))
        self.limit = self.bulk.add(WorkConsent(about="limit", **said))
        return order, jobs, lines

    def _job(
        self, order: WorkOrder, number: int, damper: Damper, visit: Visit, place: int, technician: Person
    ) -> Job:
        form = self._form(visit.machine.mounts[place][0], visit.work)
        if not form.skills <= set(technician.skills):
            technician = self.master.people["mo"]
        before = self.last.get(damper.pk)
        sheet = form.sheet.job
        rng = self.rng
        job: Job = self.bulk.add(
            Job(
                order=order, number=number, damper=damper, work_type=self.master.work_types[visit.work],
                spec=sheet.spec, procedure=sheet.procedure, place=visit.machine.mounts[place][2],
                rebuild=1 if before is None else before.rebuild + (before.outcome == Job.Outcome.DONE),
                condition=rng.choice(CONDITIONS), shelf_body=f"R{rng.randint(1, 4)}-{rng.choice('ABCD')}",
                technician=technician, bay=self.master.bays[f"bay {1 + order.number % 4}"], is_open=False,
            )
        )  # fmt: skip
        if visit.back and before is not None and before.handed_over_at is not None:
            job.comeback_of, job.under_warranty = before, True
        return job

    def _form(self, short: str, work: str) -> Form:
        if (short, work) not in self.forms:
            master = self.master
            self.forms[short, work] = form_of(
                master.models[short], master.work_types[work], master.people["mo"], master.began
            )
        return self.forms[short, work]

    def _first_line(self, job: Job) -> OrderLine:
        work = job.work_type
        row = orders.DamperIn(
            job.damper, work, comeback_of=job.comeback_of, under_warranty=job.under_warranty
        )
        what = orders.line_words(row)
        line: OrderLine = self.bulk.add(
            OrderLine(
                order=job.order, job=job, what=what, quantity=Decimal(1), unit="piece",
                price=Decimal(0) if job.under_warranty else work.price, tax_category=work.tax_category,
                comes_from=OrderLine.From.WORK_TYPE,
            )
        )  # fmt: skip
        return line

    def _work(
        self, visit: Visit, job: Job, lines: list[OrderLine], desk: Person, at: datetime
    ) -> list[WorkConsent]:
        """Fill the sheet of a job and close it; give the answers that wait for the order's amount."""
        form = self._form(visit.machine.mounts[visit.take[job.number - 1]][0], visit.work)
        by = job.technician or self.master.people["mo"]
        copyist = Copyist(self.bulk, self.shelves, self.crib, form, job, by, self.master.tools, lines=lines)
        filler = Remembering(
            send=copyist.send, look=copyist.look, rng=self.rng, at=at, memory=self._remembered(visit, job)
        )
        filler.fill()
        found = []
        if visit.work == "rebuild" and not visit.back and self.rng.random() < FINDS:
            found = find_something(copyist, filler, visit.owner.person or visit.owner.name, desk)
        said = dict(self.rng.choice(CAUSES)) if job.comeback_of is not None else {}
        body = filler._entry(form.document, None, "close", outcome="done", said=said)
        copyist.send({**body, "job": job.pk})
        job.next_due = next_due(form.sheet.job, at.date())
        self.memory[job.damper_id] = filler.memory
        self.last[job.damper_id] = job
        return found

    def _remembered(self, visit: Visit, job: Job) -> Memory:
        """Give what a damper comes with: as it left, or the settings of its neighbour on the same axle."""
        own = self.memory.get(job.damper_id)
        if own is not None:
            return own
        mounts = visit.machine.mounts
        model, _serial, place = mounts[visit.take[job.number - 1]]
        for number in visit.take[: job.number - 1]:
            beside = self.arrivals.dampers[id(visit.machine), number]
            same = mounts[number][0] == model and mounts[number][2].split()[0] == place.split()[0]
            if same and beside.pk in self.memory:
                return {key: text for key, text in self.memory[beside.pk].items() if key[0] in KEPT}
        return {}

    def _hand_over(
        self, order: WorkOrder, jobs: list[Job], customer: Customer, desk: Person, at: datetime
    ) -> None:
        if self.limit is not None:
            self.limit.amount = order.limit_gross
        for job in jobs:
            job.handed_over_at, job.handed_over_to, job.revision = at, customer.name, 2
            if job.next_due is not None and job.closed_at is not None:
                on = job.closed_at.astimezone(ZoneInfo(ZONE)).date()
                due = Due(damper=job.damper, on=job.next_due, because=MONTHS, serviced_on=on, job=job)
                self.dues[job.damper_id] = due
        result = {"order": order.pk, "jobs": sorted(job.pk for job in jobs)}
        self.bulk.act("hand_over_jobs", by=desk, at=at, about=("order", order.pk), result=result)

    def _told_on_the_phone(self) -> None:
        """Let some firms ring up and say what their machines' meters show now."""
        desk = self.master.people["anouk"]
        for machine in self.firms:
            vehicle = self.arrivals.vehicles.get(id(machine))
            if vehicle is None or self.rng.random() < 0.5:
                continue
            day = diary.workday(self.master.today - timedelta(days=self.rng.randint(9, 24)))
            at = _at(day, self.rng.randint(9, 15), self.rng.randint(0, 59))
            act = self.bulk.act("record_meter", by=desk, at=at, about=("vehicle", vehicle.pk))
            shown, kind = self.meters.shown(machine, day)
            reading = self.arrivals.meter(
                vehicle,
                diary.text_of(machine, shown),
                at,
                act.pk,
                desk,
                kind=kind,
                source="told on the phone",
            )
            act.result = {"reading": reading.pk, "vehicle": vehicle.pk}

    def _dues(self) -> None:
        """Write when each damper is due next, in place of what was noted before, as the meters show by now."""
        Due.objects.filter(damper__in=list(self.dues)).delete()
        for due in self.dues.values():
            self.bulk.add(due)
        self.dues = {}
        self.bulk.flush()
        update_dues(Due.objects.select_related("job"))


def _at(day: date, hour: int, minute: int) -> datetime:
    return datetime.combine(day, time(hour, minute), ZoneInfo(ZONE))


def past_of(
    master: Master,
    books: Books,
    *,
    seed: int,
    scale: int,
    papers_from: datetime | None,
    say: Callable[[str], None],
) -> Past:
    """Plan the past of the shop: whose machines came when; nothing is written yet."""
    rng = random.Random(f"past {seed}")
    bulk = Bulk(rng)
    desk = master.people["pia"]
    arrivals, meters = Arrivals(bulk, master, customers=dict(books.customers)), diary.Meters(rng)
    whose: list[tuple[fleet.Owner, fleet.Machine, dict[int, int]]] = [
        (owner, machine, {}) for owner in fleet.owners(rng, scale) for machine in owner.machines
    ]
    whose += [_known(who, books, arrivals, meters, master, rng) for who in names.CUSTOMERS]
    usual = {item.pk: item.minimum * 7 for item in Item.objects.all()}
    shop = Shop.objects.get()
    evening = _at(master.today, 20, 0)
    till = Till(
        bulk, rng, shop, rates_on(master.today), desk, _at(master.today, 8, 0), papers_from or evening, 0
    )
    visits = diary.visits(whose, master.today, rng)
    meters.plan(visits)
    firms = [machine for owner, machine, _told in whose if owner.kind == "firm"]
    return Past(
        master, rng, bulk, arrivals, Shelves(bulk, master.owner, scale, usual), Crib(bulk), till, meters, visits, firms,
        say,
    )  # fmt: skip


def _known(
    who: names.DemoCustomer,
    books: Books,
    arrivals: Arrivals,
    meters: diary.Meters,
    master: Master,
    rng: random.Random,
) -> tuple[fleet.Owner, fleet.Machine, dict[int, int]]:
    """Give a customer of names.py with the machine that is written already, and which of its dampers have stories."""
    machine = fleet.known_machine(who, rng)
    arrivals.vehicles[id(machine)] = books.vehicles[who.name]
    for number, (damper, _place) in enumerate(books.dampers[who.name]):
        arrivals.dampers[id(machine), number] = damper
    meters.last[id(machine)] = (master.began.date(), machine.start)
    told: dict[int, int] = {}
    for story in STORIES:
        if story.customer == who.name:
            told |= {number: max(story.days_ago, told.get(number, 0)) for number in story.take}
    return fleet.Owner(who.name, who.kind, who.phone, (machine,), known=True), machine, told

"""What has happened in the demo shop: customers with their dampers, orders done, orders at the bench now.

Everything is written through the services, at moments in the past: the bench sheets are filled entry by entry.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from shopapp.bench import services as bench
from shopapp.bench.queries.reading import job_of
from shopapp.bench.queries.sheet import sheet_document
from shopapp.calc import units
from shopapp.customers import services as customers
from shopapp.customers.models import Customer, Vehicle
from shopapp.dampers import services as dampers
from shopapp.dampers.models import Damper
from shopapp.demo import names
from shopapp.demo.fill import Filler, Send
from shopapp.demo.master import ZONE, Master
from shopapp.demo.shots import arrival, shooting
from shopapp.due import services as due
from shopapp.money import queries as money_queries
from shopapp.money import services as money
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkOrder
from shopapp.shop.services.acts import Call


@dataclass
class Books:
    """The customers of the demo with their vehicles and dampers, by the customer's name."""

    customers: dict[str, Customer] = field(default_factory=dict)
    vehicles: dict[str, Vehicle] = field(default_factory=dict)
    dampers: dict[str, list[tuple[Damper, str]]] = field(default_factory=dict)


def load_customers(master: Master) -> Books:
    """Write every customer with the vehicle, its meter and what is fitted where."""
    books = Books()
    for who in names.CUSTOMERS:
        customer = customers.add_customer(
            kind=who.kind,
            name=who.name,
            contacts=[
                customers.NewContact("phone", who.phone),
                customers.NewContact("email", f"{who.name.split()[0].casefold()}@example.com"),
            ],
            **master.std("pia"),
        )
        vehicle = customers.add_vehicle(
            customer=customer, description=who.vehicle, plate=who.plate, hard_use=who.hard,
            counts_hours=who.meter.endswith("h"), counts_distance=not who.meter.endswith("h"), **master.std("pia"),
        )  # fmt: skip
        _meter(master, vehicle, who.meter)
        books.customers[who.name], books.vehicles[who.name] = customer, vehicle
        books.dampers[who.name] = [_damper(master, customer, vehicle, *row) for row in who.dampers]
    return books


def _meter(master: Master, vehicle: Vehicle, text: str) -> None:
    hours = text.endswith("h")
    customers.record_meter(
        vehicle=vehicle,
        distance=None if hours else units.parse(text, "distance"),
        running=units.parse(text, "running_time") if hours else None,
        on=master.began.date(),
        source="read when the vehicle was first here",
        **master.std("pia"),
    )


def _damper(
    master: Master, customer: Customer, vehicle: Vehicle, model: str, serial: str, place: str
) -> tuple[Damper, str]:
    row = master.models[model]
    damper = dampers.add_damper(
        maker=row.maker, serial=serial, model=row, customer=customer, **master.std("pia")
    )
    dampers.fit_damper(damper=damper, vehicle=vehicle, place=place, **master.std("pia"))
    return damper, place


@dataclass
class Story:
    """One order of the demo: whose, how many days ago, which dampers, how far it came, who worked on it."""

    customer: str
    days_ago: int
    take: Sequence[int]
    far: Sequence[str]
    work: str = "rebuild"
    technician: str = "mo"
    bay: str = "bay 2"
    promised_in: int = 4
    complaint: str = ""
    limit: str = "900.00"
    invoice: bool = False
    pay: bool = False
    hand_over: bool = False
    pictures: bool = False
    found: tuple[str, ...] = ()


DONE, PLANNED, STUCK = "done", "planned", "does not move"
STORIES = (
    Story("Cobble Hollow Racing", 402, (0, 1), (DONE, DONE), complaint="Fades after the long whoops.",
          invoice=True, pay=True, hand_over=True),
    Story("Ostrey Beach Rescue", 96, (0, 1), (DONE, DONE), technician="ilse", bay="bay 1",
          complaint="Oil at both wipers.", invoice=True, pay=True, hand_over=True),
    Story("Gita Sundaram", 21, (0,), ("not serviceable",), work="inspect", complaint="Knocks over kerbs.",
          limit="90.00", invoice=True, pay=True, hand_over=True),
    Story("Lene Achterhof", 6, (0, 1), (DONE, DONE), technician="ilse", bay="bay 1", promised_in=6,
          complaint="Soft at the front after a season of sand.", invoice=True, pictures=True,
          found=("rod", "fine scratches, no pit yet", "watch", "note", "pits")),
    Story("Halden Trail Tours", 3, (2,), (STUCK,), bay="bay 3", complaint="Dead, rod sticks half way.", limit="300.00"),
    Story("Cobble Hollow Racing", 2, (2, 3), ("6 entries", "strip"), complaint="Tops out with a knock, left worse.",
          promised_in=3),
    Story("Nell Quarrie", 2, (0,), ("charge",), technician="ilse", bay="bay 1", promised_in=1,
          complaint="Seat damper sinks.", limit="350.00"),
    Story("Ferris Okonjo", 1, (0, 1), (PLANNED, PLANNED), promised_in=5, complaint="Yearly rebuild."),
    Story("Olu Pereira", 1, (0,), (PLANNED,), work="inspect", bay="bay 4", complaint="Wants to know what it needs.",
          limit="120.00"),
    Story("Bramwell Hay and Feed", 1, (0,), (DONE,), promised_in=4, complaint="Leaks on to the wheel.", limit="400.00"),
    Story("Marram Point Rally Club", 1, (0,), ("fill",), bay="bay 3", promised_in=2, complaint="Loses its charge.",
          pictures=True, found=("bushing", "worn through", "replace", "should", "bushing")),
    Story("Tilda Fenwright", 1, (0,), (DONE,), work="inspect", technician="ilse", bay="bay 4",
          complaint="What would the season cost it?", limit="90.00"),
)  # fmt: skip


def load_story(master: Master, books: Books, story: Story, rng: random.Random) -> WorkOrder:
    """Receive the order, work at the bench as far as the story goes, then money and hand-over."""
    at = _moment(master, story.days_ago)
    picked = [books.dampers[story.customer][number] for number in story.take]
    order = orders.receive_order(
        customer=books.customers[story.customer],
        vehicle=books.vehicles[story.customer],
        dampers=[
            orders.DamperIn(
                damper=damper, work_type=master.work_types[story.work], place=place,
                condition=rng.choice(("oil at the wiper", "dry", "dusty, dry", "stone marks on the body")),
                shelf_body=f"R{rng.randint(1, 4)}-{rng.choice('ABCD')}",
                technician=master.people[story.technician], bay=master.bays[story.bay],
            )
            for damper, place in picked
        ],
        complaint=story.complaint,
        promised=datetime.combine(at.date() + timedelta(days=story.promised_in), time(17), ZoneInfo(ZONE)),
        limit_gross=Decimal(story.limit),
        terms=master.terms,
        terms_accepted_how="signed at the counter",
        **master.std("pia", at),
    )  # fmt: skip
    for job, far in zip(order.jobs.order_by("number"), story.far, strict=True):
        at = _work(master, job, story, far, at + timedelta(hours=1), rng)
    _finish(master, order, story, at + timedelta(hours=2))
    return order


def _moment(master: Master, days_ago: int) -> datetime:
    day = master.today - timedelta(days=days_ago)
    return datetime.combine(day, time(9, 12), ZoneInfo(ZONE))


def _work(master: Master, job: Job, story: Story, far: str, at: datetime, rng: random.Random) -> datetime:
    if far == PLANNED:
        return at
    who = story.technician
    person = master.people[who]
    shoot = shooting(job, person, lambda: filler.at)
    filler = Filler(
        send=_sender(master, job, who),
        look=lambda: sheet_document(job=_fresh(job), person=person, at=filler.at),
        rng=rng,
        at=at,
        stuck=far == STUCK,
        shoot=(lambda step: shoot(*arrival())) if story.pictures else None,
    )
    if far == DONE:
        filler.fill()
        if story.found and job.number == 1:
            _find(filler, story, shoot)
        filler.close()
    elif far == STUCK:
        filler.fill(until="strip")
    elif far == "not serviceable":
        filler.fill()
        filler.close(far, "A sealed twin-tube damper: it cannot be opened and rebuilt.")
    elif far.endswith(" entries"):
        filler.fill(most=int(far.split()[0]))
    else:
        filler.fill(until=far)
        if story.found:
            _find(filler, story, shoot)
    return filler.at


def _find(filler: Filler, story: Story, shoot: Callable[..., list[dict[str, Any]]]) -> None:
    part, words, advice, grade, drawn = story.found
    filler.find(shoot((drawn, f"{part}: {words}")), part=part, words=words, advice=advice, answer=grade)


def _fresh(job: Job) -> Job:
    found = job_of(job.pk)
    if found is None:
        raise LookupError(f"job {job.pk} is gone")
    return found


def _sender(master: Master, job: Job, who: str) -> Send:
    """Give what takes an entry as the endpoint does, at the moment it was typed."""

    def send(body: dict[str, Any]) -> None:
        entry = bench.read_entry(body)
        call = Call.once(bench.entry_key(entry.id))
        bench.record_entry(job=job, entry=entry, by=master.people[who], at=entry.typed_at, call=call)

    return send


def _finish(master: Master, order: WorkOrder, story: Story, at: datetime) -> None:
    if story.invoice:
        undone = {job.pk: "charge" for job in order.jobs.exclude(outcome=Job.Outcome.DONE)}
        invoice = money.issue_invoice(order=order, endings=undone, **master.std("pia", at))
        if story.pay:
            owed = money_queries.order_money(order, on=invoice.issued_on).owed
            money.take_payment(order=order, invoice=invoice, amount=owed, how="card", **master.std("pia", at))
    if story.hand_over:
        due.hand_over_jobs(
            order=order, jobs=list(order.jobs.all()), to_whom=story.customer, **master.std("pia", at)
        )

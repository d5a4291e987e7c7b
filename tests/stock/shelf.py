"""Items on the shelf and a job to issue them to."""

from __future__ import annotations

import datetime as dt
import itertools
from typing import Any

from shopapp.customers.models import Customer
from shopapp.dampers.models import Damper, DamperModel
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from shopapp.stock import services as stock
from shopapp.stock.models import Item, Kit, Lot

NOW = dt.datetime(2026, 3, 2, 9, 0, tzinfo=dt.UTC)
TODAY = NOW.date()
_count = itertools.count(1)


def an_item(code: str = "W-19", name: str = "wiper 3/4 in", unit: str = "piece", **more: Any) -> Item:
    return stock.add_item(code=code, name=name, unit=unit, by=None, at=NOW, call=Call.fresh(), **more)


def a_lot(item: Item, quantity: int, batch: str = "2604-C", **more: Any) -> Lot:
    more.setdefault("received", TODAY)
    return stock.receive_lot(
        item=item, batch=batch, quantity=quantity, by=None, at=NOW, call=Call.fresh(), **more
    )


def a_kit(*parts: tuple[Item, int], code: str = "K25-R", **more: Any) -> Kit:
    lines = [stock.KitLineIn(item, quantity, f"{item.name} {n}") for n, (item, quantity) in enumerate(parts)]
    return stock.add_kit(
        code=code, name="Rebuild kit", lines=lines, by=None, at=NOW, call=Call.fresh(), **more
    )


def a_job(by: Person) -> Job:
    """Make a job with the rows it stands on, straight in the tables."""
    number = next(_count)
    model, _made = DamperModel.objects.get_or_create(maker="Halvorne", name="Longreach 25")
    work, _made = WorkType.objects.get_or_create(code="rebuild", defaults={"name": "Rebuild", "price": 300})
    damper = Damper.objects.create(tag=f"{number:08d}", model=model, made_at=NOW)
    customer = Customer.objects.create(name="R. Thane", made_at=NOW)
    order = WorkOrder.objects.create(
        number=1000 + number, customer=customer, received_at=NOW, received_by=by, accepted_at=NOW
    )
    return Job.objects.create(order=order, number=1, damper=damper, work_type=work)


def issue(lot: Lot, quantity: int, job: Job, by: Person, call: Call | None = None, **more: Any) -> list[Any]:
    return stock.issue(
        lines=[stock.IssueLine(lot.item, lot, quantity)],
        job=job,
        by=by,
        at=NOW,
        call=call or Call.fresh(),
        **more,
    )


def levels(item: Item) -> tuple[int, int, int]:
    item.level.refresh_from_db()
    return item.level.on_hand, item.level.blocked, item.level.reserved

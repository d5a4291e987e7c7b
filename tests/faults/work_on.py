"""A script for the kill tests. `lay`: set a shop up. `work NAME SEED`: go on working until killed.

Each finished piece of work is written down in `done-NAME.txt` (flushed to the disk) only after its service returned:
what stands there must be in the database whatever happened afterwards.
"""

from __future__ import annotations

import datetime as dt
import os
import random
import sys
from decimal import Decimal
from pathlib import Path

import django

django.setup()

from django.utils import timezone  # noqa: E402

from shopapp.customers import services as customers  # noqa: E402
from shopapp.customers.models import Customer  # noqa: E402
from shopapp.dampers import services as dampers  # noqa: E402
from shopapp.dampers.models import DamperModel  # noqa: E402
from shopapp.due import services as due  # noqa: E402
from shopapp.money import services as money  # noqa: E402
from shopapp.orders import services as orders  # noqa: E402
from shopapp.orders.models import Job, WorkType  # noqa: E402
from shopapp.people.models import Person  # noqa: E402
from shopapp.shop.services import outbox  # noqa: E402
from shopapp.shop.services.acts import Call, Refused  # noqa: E402
from shopapp.stock import services as stock  # noqa: E402
from shopapp.stock.models import Lot  # noqa: E402
from tests.faults.whole_shop import make_shop, work_and_close  # noqa: E402


def lay() -> None:
    """Make the shop; one job is worked through and closed, so that there is something to invoice."""
    work_and_close(make_shop())


class Hand:
    """Somebody who works on and on, drawing what to do next."""

    def __init__(self, name: str, seed: int) -> None:
        self.name = name
        self.rng = random.Random(seed)
        self.by = Person.objects.get(login_name="pia")
        self.log = (Path(os.environ["SHOP_DATA"]) / f"done-{name}.txt").open("a")

    def std(self, what: str) -> dict[str, object]:
        self.key = f"{what}:{self.name}:{self.rng.getrandbits(60):x}"
        return {"by": self.by, "at": timezone.now(), "call": Call.once(self.key)}

    def work(self) -> None:
        while True:
            what = self.rng.choice([self.receive, self.issue, self.count, self.sweep, self.money])
            try:
                what()
            except Refused:
                continue
            if what != self.sweep:
                self.log.write(self.key + "\n")
                self.log.flush()
                os.fsync(self.log.fileno())

    def receive(self) -> None:
        customer = Customer.objects.get(name="Wyn Dallimore")
        model, work = DamperModel.objects.get(), WorkType.objects.get()
        damper = dampers.add_damper(model=model, customer=customer, **self.std("damper"))
        customers.add_customer(name=f"Customer {self.key}", **self.std("customer"))
        orders.receive_order(
            customer=customer, dampers=[orders.DamperIn(damper=damper, work_type=work)], **self.std("order")
        )

    def issue(self) -> None:
        lot = self.rng.choice(list(Lot.objects.order_by("pk")))
        job = self.rng.choice(list(Job.objects.filter(is_open=True)))
        stock.issue(lines=[stock.IssueLine(lot.item, lot, 1, "")], job=job, **self.std("issue"))

    def count(self) -> None:
        lot = self.rng.choice(list(Lot.objects.order_by("pk")))
        stock.count_lot(lot=lot, counted=self.rng.randrange(50, 500), reason="count", **self.std("count"))

    def sweep(self) -> None:
        outbox.sweep(at=timezone.now() + dt.timedelta(minutes=6), limit=3)

    def money(self) -> None:
        """Invoice and pay what was closed; with nothing left to invoice, pay a deposit; hand over what may go."""
        job = Job.objects.filter(state="done", is_open=True).first()
        order = job.order if job else self.rng.choice(list(Job.objects.filter(is_open=True))).order
        if job is None or order.invoices.exists():
            money.take_payment(
                order=order, amount=Decimal(self.rng.randrange(1, 9)), how="cash", **self.std("deposit")
            )
            return
        issued = money.issue_invoice(order=order, jobs=[job], **self.std("invoice"))
        money.take_payment(
            order=order, invoice=issued, amount=issued.gross, how="cash", **self.std("payment")
        )
        due.hand_over_jobs(order=order, jobs=[job], to_whom="Wyn", **self.std("hand over"))


if __name__ == "__main__":
    if sys.argv[1] == "lay":
        lay()
    else:
        Hand(sys.argv[2], int(sys.argv[3])).work()

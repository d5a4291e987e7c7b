"""The desk's and the owner's work cut off at each SQL statement (the bench's own is in tests/bench)."""

from __future__ import annotations

import datetime as dt
import io
from decimal import Decimal
from typing import Any

import pytest

from shopapp.bench.models import Picture
from shopapp.bench.services import pictures
from shopapp.customers.services import NewContact
from shopapp.dampers import services as dampers
from shopapp.due import services as due
from shopapp.due.bringing_in import Signed, bring_in
from shopapp.money import services as money
from shopapp.orders import services as orders
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.people.services import staff
from shopapp.shop.services.acts import AlreadyDone, Call
from shopapp.shop.services.the_shop import ShopDetails
from shopapp.stock import services as stock
from tests.bench.make import Bench
from tests.conftest import NOW, PASSWORD
from tests.drawn_pictures import a_jpeg
from tests.faults.cutting import Cut, cut_at_each_statement, everything
from tests.faults.whole_shop import invoice, make_shop, work_and_close

pytestmark = pytest.mark.django_db(transaction=True)


def test_receiving_an_order() -> None:
    bench = make_shop()
    damper = dampers.add_damper(
        model=bench.job.damper.model, customer=bench.order.customer, serial="118836", by=bench.desk, at=NOW,
        call=Call.fresh(),
    )  # fmt: skip
    call = Call.once("receive")

    def work() -> None:
        orders.receive_order(
            customer=bench.order.customer, dampers=[orders.DamperIn(damper=damper, work_type=WorkType.objects.get())],
            promised=NOW + dt.timedelta(days=3), limit_gross=Decimal(900), by=bench.desk, at=NOW, call=call,
        )  # fmt: skip

    assert cut_at_each_statement(work) >= 10
    with pytest.raises(AlreadyDone):
        work()


def test_from_the_invoice_to_the_door() -> None:
    """An invoice, its payment, the hand-over: each of them whole or not at all."""
    bench = make_shop()
    work_and_close(bench)
    keys = {name: Call.once(name) for name in ("receipt", "invoice", "pay", "take back", "hand over")}

    def receipt() -> None:
        money.issue_receipt(order=bench.order, by=bench.desk, at=bench.at, call=keys["receipt"])

    assert cut_at_each_statement(receipt) >= 8

    def issue() -> None:
        money.issue_invoice(
            order=bench.order, jobs=[bench.job], by=bench.desk, at=bench.at, call=keys["invoice"]
        )

    assert cut_at_each_statement(issue) >= 12
    issued = bench.order.invoices.get()

    def pay() -> None:
        money.take_payment(
            order=bench.order, invoice=issued, amount=issued.gross, how="card", by=bench.desk, at=bench.at,
            call=keys["pay"],
        )  # fmt: skip

    assert cut_at_each_statement(pay) >= 5
    payment = bench.order.payments.get()

    def take_back() -> None:
        money.reverse_payment(
            payment=payment, why="typed wrong", by=bench.owner, at=bench.at, call=keys["take back"]
        )

    assert cut_at_each_statement(take_back) >= 4

    def hand_over() -> None:
        due.hand_over_jobs(
            order=bench.order, jobs=[bench.fresh()], to_whom="Wyn", by=bench.desk, at=bench.at, call=keys["hand over"],
            signed=due.SignedAtTheDoor(strokes={"fetched": [[[100, 200], [900, 150]]]}),
        )  # fmt: skip

    assert cut_at_each_statement(hand_over) >= 9
    assert bench.order.signatures.get().name == "Wyn"
    assert bench.fresh().handed_over_at == bench.at


def test_taking_a_lot_in_and_counting_it() -> None:
    bench = make_shop()
    day = NOW.date()
    calls = Call.once("lot"), Call.once("count")

    def take_in() -> None:
        stock.receive_lot(
            item=bench.oil, batch="B-new", quantity=500, received=day, expires=day.replace(year=day.year + 1),
            by=bench.desk, at=NOW, call=calls[0],
        )  # fmt: skip

    assert cut_at_each_statement(take_in) >= 6

    def count() -> None:
        stock.count_lot(
            lot=bench.lots["oil"], counted=9, reason="spilt", by=bench.desk, at=NOW, call=calls[1]
        )

    assert cut_at_each_statement(count) >= 5


def test_the_first_owner(settings: object) -> None:
    secret = staff.make_owner_link()

    def set_up() -> None:
        staff.set_up_owner(
            secret=secret, details=ShopDetails(name="One shop"), login_name="ada", name="Ada", initials="AO",
            password=PASSWORD, at=NOW,
        )  # fmt: skip

    assert cut_at_each_statement(set_up) >= 8
    assert not staff.owner_link_good(secret)


def test_the_harness_sees_what_is_half_stored() -> None:
    """Two acts where one was meant: the cut between them leaves the first."""
    bench = make_shop()
    work_and_close(bench)

    def two_acts() -> None:
        issued = invoice(bench, bench.desk)
        money.take_payment(
            order=bench.order, invoice=issued, amount=issued.gross, how="cash", by=bench.desk, at=bench.at,
            call=Call.fresh(),
        )  # fmt: skip

    with pytest.raises(AssertionError, match="half stored"):
        cut_at_each_statement(two_acts)


def test_the_harness_sees_a_cut_that_is_swallowed() -> None:
    bench = make_shop()

    def swallow() -> None:
        try:
            stock.count_lot(
                lot=bench.lots["oil"], counted=9, reason="x", by=bench.desk, at=NOW, call=Call.fresh()
            )
        except Cut:
            everything()

    with pytest.raises(AssertionError, match="nobody noticed"):
        cut_at_each_statement(swallow)


def test_bringing_in_a_whole_sheet() -> None:
    """Customer, vehicle, damper, order, shelf, pictures, signature and the sum they heard: all of it or nothing.

    Seen red, half stored, with the order taken in by an act of its own before it.
    """
    bench = make_shop()
    std: dict[str, Any] = {"by": bench.desk, "at": NOW}
    orders.add_shelf(code="R2-4", rack="2", shelf="4", by=bench.owner, at=NOW, call=Call.fresh())
    orders.keep_here(job=closed(bench), why="part", who="Wyn", how="by phone", call=Call.fresh(), **std)
    shots = [pictures.develop(io.BytesIO(a_jpeg(shade=shade))) for shade in (1, 2)]
    work, call = WorkType.objects.get(), Call.once("bring in")
    rows = [
        orders.DamperRow(
            work_type=work, serial="118899", model=bench.job.damper.model, place="front left", shelf="R2-4"
        ),
        orders.DamperRow(work_type=work, damper=bench.job.damper, place="front right"),
    ]

    def bring() -> None:
        bring_in(
            customer=orders.NewCustomer("Wyn Dallimore", contacts=[NewContact("phone", "555-0133")]),
            vehicle=orders.NewVehicle("buggy", plate="7K 204"), meter=None, rows=rows,
            agreed=orders.Agreed(complaint="Tops out.", limit_gross=Decimal(900)), changed_hands=True,
            pictures=[shots, []], signed=Signed("Wyn Dallimore", [[[100, 200], [900, 150]]]), call=call, **std,
        )  # fmt: skip

    assert cut_at_each_statement(bring) >= 40
    order = WorkOrder.objects.latest("pk")
    assert (order.jobs.count(), Picture.objects.count(), order.signatures.get().name) == (
        2,
        2,
        "Wyn Dallimore",
    )
    assert order.jobs.get(number=1).placings.get().shelf.code == "R2-4"
    assert bench.fresh().went_on == order.jobs.get(number=2)
    with pytest.raises(AlreadyDone):
        bring()


def closed(bench: Bench) -> Job:
    bench.do("", "close", outcome="unrepaired", words="waits for a rod")
    return bench.fresh()

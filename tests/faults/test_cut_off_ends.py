"""What ends, goes on or is set right, cut off at each SQL statement.

A job void, a damper scrapped, one that stays gone on into a later order, a lot counted or blocked, a serial corrected.

Seen red, half stored, with a row lock, a level or the words to find by written beside the act's transaction, and with
where a damper goes on written after it.
"""

from __future__ import annotations

import pytest

from shopapp.dampers import services as dampers
from shopapp.dampers.models import Damper
from shopapp.orders import services as orders
from shopapp.orders.models import Job, OrderLine, Remark, WorkConsent
from shopapp.shop.services.acts import AlreadyDone, Call
from shopapp.stock import services as stock
from shopapp.stock.models import Lot, StockMove
from tests.bench.make import Bench
from tests.faults.cutting import cut_at_each_statement
from tests.faults.whole_shop import make_shop

pytestmark = pytest.mark.django_db(transaction=True)
WHY = "brought the wrong pair"


def closed_as_unsafe() -> Bench:
    """Make a shop whose first job was stopped unsafe, released by the owner and closed so."""
    bench = make_shop()
    bench.do("", "close", outcome="unsafe", words="the valve is torn out")
    bench.do("", "release", words="Drilled by the owner", by=bench.owner)
    bench.do("", "close", outcome="unsafe", words="the body is cracked")
    return bench


def test_voiding_a_job_and_then_the_order() -> None:
    bench = make_shop()
    keys = Call.once("job"), Call.once("order")

    def void_job() -> None:
        orders.void_job(job=bench.job, why=WHY, by=bench.desk, at=bench.at, call=keys[0])

    assert cut_at_each_statement(void_job) >= 8
    assert OrderLine.objects.filter(job=bench.other).exists()

    def void_order() -> None:
        orders.void_order(order=bench.order, why=WHY, by=bench.desk, at=bench.at, call=keys[1])

    assert cut_at_each_statement(void_order) >= 8
    assert set(Job.objects.values_list("state", "is_open")) == {("void", False)}
    assert (OrderLine.objects.count(), Remark.objects.count()) == (0, 2)
    with pytest.raises(AlreadyDone):
        void_order()


def test_scrapping_a_damper() -> None:
    bench = closed_as_unsafe()
    call = Call.once("scrap")

    def scrap() -> None:
        orders.scrap_job(
            job=bench.job, who="N. Castellan", how="by phone", by=bench.desk, at=bench.at, call=call
        )

    assert cut_at_each_statement(scrap) >= 8
    damper = Damper.objects.get(pk=bench.job.damper_id)
    assert (damper.retired_at, bench.fresh().handed_over_to) == (bench.at, "scrap")
    assert not damper.fittings.filter(current=True).exists()
    assert WorkConsent.objects.filter(about_id=f"job {bench.job.pk}").count() == 1
    with pytest.raises(AlreadyDone):
        scrap()


def test_one_that_stays_goes_on_and_comes_back() -> None:
    """The job it leaves, the stay, the new job and where it lies go together, and come back together."""
    bench = make_shop()
    std = {"by": bench.desk, "at": bench.at}
    orders.add_shelf(code="R2-4", rack="2", shelf="4", call=Call.fresh(), **std)
    bench.do("", "close", outcome="unrepaired", words="a seal has to come first")
    before = bench.fresh()
    orders.lay_part(job=before, part="body", words="R2-4", call=Call.fresh(), **std)
    orders.keep_here(job=before, why="part", who="N. Castellan", how="by phone", call=Call.fresh(), **std)
    keys = Call.once("later"), Call.once("void")

    def later() -> None:
        row = orders.DamperIn(damper=before.damper, work_type=before.work_type)
        orders.receive_order(customer=bench.order.customer, dampers=[row], call=keys[0], **std)

    assert cut_at_each_statement(later) >= 12
    before.refresh_from_db()
    assert before.went_on is not None and before.went_on.shelf_body == "R2-4"
    order = before.went_on.order

    def void() -> None:
        orders.void_order(order=order, why=WHY, call=keys[1], **std)

    assert cut_at_each_statement(void) >= 8
    before.refresh_from_db()
    assert (before.went_on, before.is_open, before.handed_over_at) == (None, True, None)
    with pytest.raises(AlreadyDone):
        later()


def test_counting_a_lot_and_blocking_it() -> None:
    """Counted while it is blocked as well: then three projections go together."""
    bench = make_shop()
    lot = bench.lots["oil"]
    keys = {name: Call.once(name) for name in ("count", "block", "count again")}
    std = {"by": bench.desk, "at": bench.at}

    def count() -> None:
        stock.count_lot(lot=lot, counted=90_000, reason="spilt", call=keys["count"], **std)

    assert cut_at_each_statement(count) >= 6

    def block() -> None:
        stock.block_lot(lot=lot, why="water in it", call=keys["block"], **std)

    assert cut_at_each_statement(block) >= 5

    def count_again() -> None:
        stock.count_lot(lot=lot, counted=80_000, reason="poured out", call=keys["count again"], **std)

    assert cut_at_each_statement(count_again) >= 6
    level = Lot.objects.select_related("item__level", "level").get(pk=lot.pk)
    assert (level.level.on_hand, level.item.level.on_hand, level.item.level.blocked) == (80_000,) * 3
    assert list(StockMove.objects.filter(kind="count").order_by("pk").values_list("quantity", flat=True)) == [
        -10_000, -10_000,
    ]  # fmt: skip


def test_correcting_a_serial() -> None:
    """The row, the words by which it is found and the act's history go together."""
    bench = make_shop()
    damper = Damper.objects.get(pk=bench.job.damper_id)
    call = Call.once("serial")

    def correct() -> None:
        dampers.change_damper(
            damper=damper, revision=1, serial="KM-118-884", model=damper.model, maker="", note="", why="misread",
            by=bench.desk, at=bench.at, call=call,
        )  # fmt: skip

    assert cut_at_each_statement(correct) >= 8
    damper.refresh_from_db()
    assert (damper.serial, damper.revision) == ("KM-118-884", 2)
    with pytest.raises(AlreadyDone):
        correct()

"""What a job did not use goes back: some of it too, never more than is out, and into a blocked lot it stays blocked."""

from __future__ import annotations

import pytest

from shopapp.people.models import Person
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from shopapp.stock import services as stock
from shopapp.stock.books import item_differences, lot_differences
from shopapp.stock.models import LotLevel, StockLevel
from tests.stock.shelf import NOW, a_job, a_lot, an_item, issue

pytestmark = pytest.mark.django_db


def levels_differ() -> list[str]:
    """Say what the two books of stock find; the orders of this shelf are no real ones."""
    return [*map(str, item_differences()), *map(str, lot_differences())]


def back(lot, quantity, job, by, call=None, position=""):  # type: ignore[no-untyped-def]
    return stock.give_back_unused(
        backs=[stock.Back(lot, position, quantity)], job=job, by=by, at=NOW, call=call or Call.fresh()
    )


def test_a_part_of_what_went_out_comes_back_and_then_the_rest(technician: Person) -> None:
    lot, job = a_lot(an_item(unit="0.1 mL"), 900), a_job(technician)
    issue(lot, 500, job, technician)
    (move,) = back(lot, 120, job, technician)
    assert (move.kind, move.quantity, move.job_id) == ("return", 120, job.pk)
    assert LotLevel.objects.get(lot=lot).on_hand == StockLevel.objects.get(item=lot.item).on_hand == 520
    with pytest.raises(Refused, match="Only 38 mL"):
        back(lot, 381, job, technician)
    back(lot, 380, job, technician)
    assert LotLevel.objects.get(lot=lot).on_hand == 900
    assert levels_differ() == []


def test_what_another_position_or_job_took_does_not_come_back(technician: Person) -> None:
    lot, job = a_lot(an_item(), 9), a_job(technician)
    issue(lot, 2, job, technician)
    for other, position in ((job, "seal head"), (a_job(technician), "")):
        with pytest.raises(Refused, match="Only 0"):
            back(lot, 1, other, technician, position=position)


def test_into_a_lot_that_was_blocked_since_it_comes_back_blocked(technician: Person) -> None:
    lot, job = a_lot(an_item(), 9), a_job(technician)
    issue(lot, 2, job, technician)
    stock.block_lot(lot=lot, why="swells", by=technician, at=NOW, call=Call.fresh())
    back(lot, 2, job, technician)
    level = StockLevel.objects.get(item=lot.item)
    assert (level.on_hand, level.blocked) == (9, 9)
    assert levels_differ() == []


def test_twice_with_one_key_is_once_and_nothing_is_refused(technician: Person) -> None:
    lot, job, call = a_lot(an_item(), 9), a_job(technician), Call.fresh()
    issue(lot, 2, job, technician)
    back(lot, 1, job, technician, call)
    with pytest.raises(AlreadyDone):
        back(lot, 1, job, technician, call)
    assert LotLevel.objects.get(lot=lot).on_hand == 8
    with pytest.raises(Refused, match="nothing to give back"):
        back(lot, 0, job, technician)

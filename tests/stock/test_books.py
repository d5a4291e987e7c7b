"""The books of the stores: they agree after honest work, and each planted fault is found and named."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from shopapp.people.models import Person
from shopapp.shop import books, ledgers
from shopapp.shop.services.acts import Call
from shopapp.stock import services as stock
from shopapp.stock.models import Item, Lot, LotLevel, StockLevel, StockMove

from .shelf import NOW, a_job, a_lot, an_item, issue

pytestmark = pytest.mark.django_db


def found() -> list[str]:
    return [str(line) for book in ("lot levels", "stock levels") for line in books.REGISTRY[book]()]


@pytest.fixture
def worked(technician: Person) -> tuple[Item, Lot, Lot]:
    """Give an item with two lots after every kind of honest work."""
    item, job = an_item(), a_job(technician)
    one, two = a_lot(item, 12, "one"), a_lot(item, 5, "two")
    moves = issue(one, 4, job, technician)
    stock.give_back(moves=moves, job=job, by=technician, at=NOW, call=Call.fresh())
    issue(one, 2, job, technician)
    stock.count_lot(lot=one, counted=9, reason="shelf", by=technician, at=NOW, call=Call.fresh())
    stock.block_lot(lot=two, why="lips cut", by=technician, at=NOW, call=Call.fresh())
    stock.count_lot(lot=two, counted=4, reason="shelf", by=technician, at=NOW, call=Call.fresh())
    return item, one, two


def test_honest_work_leaves_books_that_agree(worked: tuple[Item, Lot, Lot]) -> None:
    item = worked[0]
    assert found() == []
    level = StockLevel.objects.get(item=item)
    assert (level.on_hand, level.blocked) == (13, 4)


FAULTS: dict[str, tuple[Callable[[Item, Lot, Lot], object], str]] = {
    "item on hand": (
        lambda item, one, two: StockLevel.objects.filter(item=item).update(on_hand=99),
        "W-19 on_hand: stored 99, derived 13",
    ),
    "item blocked": (
        lambda item, one, two: StockLevel.objects.filter(item=item).update(blocked=1),
        "W-19 blocked: stored 1, derived 4",
    ),
    "item reserved": (
        lambda item, one, two: StockLevel.objects.filter(item=item).update(reserved=2),
        "W-19 reserved: stored 2, derived 0",
    ),
    "level gone": (
        lambda item, one, two: StockLevel.objects.all().delete(),
        "W-19 on_hand: stored 0, derived 13",
    ),
    "lot on hand": (
        lambda item, one, two: LotLevel.objects.filter(lot=one).update(on_hand=10),
        "W-19 lot one: stored 10, derived 9",
    ),
    "lot level gone": (
        lambda item, one, two: LotLevel.objects.filter(lot=two).delete(),
        "W-19 lot two: stored None, derived 4",
    ),
    "block lifted by hand": (
        lambda item, one, two: Lot.objects.filter(pk=two.pk).update(blocked_at=None),
        "W-19 blocked: stored 4, derived 0",
    ),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_planted_fault_is_found(worked: tuple[Item, Lot, Lot], fault: str) -> None:
    plant, line = FAULTS[fault]
    plant(*worked)
    assert any(line in each for each in found()), found()


def test_a_move_that_was_changed_or_moved_to_another_item_is_found(worked: tuple[Item, Lot, Lot]) -> None:
    other = an_item("O-210", "o-ring -210")
    move = StockMove.objects.filter(kind="receive", lot__batch="one").get()
    with ledgers.lifted():
        StockMove.objects.filter(pk=move.pk).update(quantity=13)
    assert "W-19 lot one: stored 9, derived 10" in " ".join(found())
    with ledgers.lifted():
        StockMove.objects.filter(pk=move.pk).update(quantity=12, item=other)
    assert f"move {move.pk} item" in " ".join(found())

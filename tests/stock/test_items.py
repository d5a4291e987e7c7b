"""Items and kits kept, quantities read and shown, and how many kits the shelf makes."""

from __future__ import annotations

import datetime as dt

import pytest

from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call, Refused, Stale
from shopapp.stock import queries
from shopapp.stock import services as stock
from shopapp.stock.models import Item, Kit, StockLevel

from .shelf import NOW, TODAY, a_kit, a_lot, an_item

DAY = dt.timedelta(days=1)


@pytest.mark.parametrize(
    ("unit", "quantity", "shown"),
    [
        ("0.1 mL", 11200, "1120 mL"),
        ("0.1 mL", 11205, "1120.5 mL"),
        ("0.1 mL", -5, "\u22120.5 mL"),
        ("piece", 6, "6"),
        ("piece", -2, "\u22122"),
        ("mm", 350, "350 mm"),
    ],
)
def test_quantities_are_shown_with_their_unit(unit: str, quantity: int, shown: str) -> None:
    assert queries.show_quantity(Item(unit=unit), quantity) == shown


@pytest.mark.parametrize(
    ("unit", "text", "quantity"),
    [
        ("0.1 mL", "1120 mL", 11200),
        ("0.1 mL", "1120", 11200),
        ("0.1 mL", "5 L", 50000),
        ("0.1 mL", "0.5 ml", 5),
        ("0.1 mL", "1.1205 L", 11205),
        ("piece", "12", 12),
        ("piece", "12 pcs", 12),
        ("mm", "350", 350),
        ("mm", "2 m", 2000),
        ("mm", "35.5 cm", 355),
    ],
)
def test_quantities_are_read_as_typed(unit: str, text: str, quantity: int) -> None:
    assert queries.read_quantity(Item(unit=unit), text) == quantity


@pytest.mark.parametrize(
    ("unit", "text", "says"),
    [
        ("piece", "1.5", "whole pieces. Write 2"),
        ("piece", "0", "more than nothing"),
        ("piece", "-3", "counted in pieces"),
        ("piece", "5 L", "counted in pieces"),
        ("piece", "12 clicks", "counted in pieces"),
        ("mm", "5 L", "not a unit of length"),
        ("piece", "1e30", "more than any shelf"),
        ("0.1 mL", "8 fl oz", "tenths of a millilitre. Write 236.6 mL"),
        ("0.1 mL", "0.04 mL", "tenths of a millilitre. Write 0.1 mL"),
        ("mm", "1/2 in", "whole millimetres. Write 13 mm"),
        ("piece", "a dozen", "Write a whole number"),
        ("piece", "", "Write a whole number"),
        ("mm", "", "figure"),
    ],
)
def test_what_is_no_whole_quantity_is_refused_in_a_sentence(unit: str, text: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        queries.read_quantity(Item(unit=unit), text)


def test_a_quantity_shown_reads_back_the_same() -> None:
    for unit in Item.Unit.values:
        for quantity in (1, 9, 10, 11, 12345, 10**11 + 7):
            item = Item(unit=unit)
            assert queries.read_quantity(item, queries.show_quantity(item, quantity)) == quantity


@pytest.mark.django_db
def test_an_item_starts_with_nothing_on_hand() -> None:
    item = an_item(minimum=4, elastomer="NBR")
    assert StockLevel.objects.get(item=item).on_hand == 0
    assert Act.objects.get(verb="add_item").result == {"item": item.pk}


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"code": ""}, "code"),
        ({"code": "W-19"}, "code"),
        ({"name": " "}, "name"),
        ({"unit": "gallon"}, "unit"),
        ({"price": -1}, "price"),
        ({"price": "1e30"}, "price"),
        ({"minimum": -1}, "minimum"),
        ({"minimum": 10**30}, "minimum"),
    ],
)
def test_an_item_that_says_too_little_is_refused(more: dict[str, object], field: str) -> None:
    an_item()
    given = {"code": "W-20", "name": "wiper", "unit": "piece", **more}
    with pytest.raises(Refused) as no:
        stock.add_item(**given, by=None, at=NOW, call=Call.fresh())  # type: ignore[arg-type]
    assert no.value.field == field
    assert Item.objects.count() == 1


@pytest.mark.django_db
def test_an_item_is_changed_by_whoever_saw_it_last() -> None:
    item = an_item()
    given = {"item": item, "name": "wiper, new", "price": 3, "by": None, "at": NOW}
    stock.change_item(**given, revision=1, call=Call.fresh())  # type: ignore[arg-type]
    assert Act.objects.get(verb="change_item").changed[0] == {
        "field": "name", "old": "wiper 3/4 in", "new": "wiper, new",
    }  # fmt: skip
    with pytest.raises(Stale):
        stock.change_item(**given, revision=1, call=Call.fresh())  # type: ignore[arg-type]
    a_lot(item, 1)
    with pytest.raises(Refused, match="The unit stays"):
        stock.change_item(**given, unit="mm", revision=2, call=Call.fresh())  # type: ignore[arg-type]


@pytest.mark.django_db
def test_a_kit_needs_parts_each_in_a_position_of_its_own() -> None:
    item = an_item()
    for lines, says in (
        ([], "at least one part"),
        ([stock.KitLineIn(item, 1, "wiper"), stock.KitLineIn(item, 1, "wiper")], "position of its own"),
        ([stock.KitLineIn(item, 0, "wiper")], "how many"),
    ):
        with pytest.raises(Refused, match=says):
            stock.add_kit(code="K", name="Kit", lines=lines, by=None, at=NOW, call=Call.fresh())
    assert not Kit.objects.exists()


@pytest.mark.django_db
def test_changing_a_kit_replaces_its_parts() -> None:
    wiper, ring = an_item(), an_item("O-210", "o-ring -210")
    kit = a_kit((wiper, 1))
    stock.change_kit(
        kit=kit, revision=1, name="Kit, new", lines=[stock.KitLineIn(ring, 2, "cap")],
        by=None, at=NOW, call=Call.fresh(),
    )  # fmt: skip
    assert list(kit.lines.values_list("item", "quantity", "position")) == [(ring.pk, 2, "cap")]


@pytest.mark.django_db
def test_the_schedule_says_how_many_kits_and_what_ends_them() -> None:
    wiper, ring = an_item(), an_item("O-210", "o-ring -210")
    a_kit((wiper, 1), (ring, 2))
    assert queries.kit_rows(TODAY)[0].words == "makes none, wiper 3/4 in and o-ring -210 end it"
    a_lot(wiper, 6)
    a_lot(ring, 15)
    (row,) = queries.kit_rows(TODAY)
    assert (row.makes, row.words) == (6, "makes 6, wiper 3/4 in ends it")


@pytest.mark.django_db
def test_blocked_expired_and_held_stock_makes_no_kits() -> None:
    wiper = an_item()
    a_kit((wiper, 1))
    a_lot(wiper, 5, "gone", received=TODAY - 9 * DAY, expires=TODAY - DAY)
    bad = a_lot(wiper, 7, "bad")
    a_lot(wiper, 4, "good")
    stock.block_lot(lot=bad, why="x", by=None, at=NOW, call=Call.fresh())
    assert queries.kit_rows(TODAY)[0].makes == 4
    StockLevel.objects.filter(item=wiper).update(reserved=7)
    assert queries.kit_rows(TODAY)[0].makes == 2, "of 16, 7 are blocked and 7 are held"

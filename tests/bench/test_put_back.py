"""What was issued and not used goes back at closing: stock, order, book; once, and never more than went out."""

from __future__ import annotations

from decimal import Decimal

import pytest

from shopapp.bench.models import Entry
from shopapp.bench.queries.issued import issued_of
from shopapp.bench.queries.sheet import document_of
from shopapp.bench.services import BackIn, EntryIn
from shopapp.orders.models import OrderLine
from shopapp.shop import books
from shopapp.shop.services.acts import AlreadyDone, Refused
from shopapp.stock.models import Item, LotLevel, StockMove
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db


def issued(bench: Bench) -> dict[str, int]:
    """Issue kit and oil; give the moves by the name of the part."""
    bench.unlock("strip")
    bench.do("reseal-kit", "part")
    bench.do("fill-oil", "part")
    return {row.move.item.code: row.move.pk for row in issued_of(bench.sheet())}


def closing(bench: Bench, moves: dict[str, int], outcome: str = "unrepaired", **texts: str) -> EntryIn:
    names = {"wiper": "wiper-25", "ring": "oring-210", "oil": "oil-5"}
    back = tuple(BackIn(moves[names[name]], text) for name, text in texts.items())
    return bench.entry("", "close", outcome=outcome, words="part unobtainable", back=back)


def on_hand(bench: Bench) -> dict[str, int]:
    return {name: LotLevel.objects.get(lot=lot).on_hand for name, lot in bench.lots.items()}


def lines(bench: Bench) -> list[tuple[str, Decimal]]:
    return list(
        OrderLine.objects.filter(job=bench.job, comes_from="move")
        .order_by("pk")
        .values_list("what", "quantity")
    )


def test_an_end_without_done_asks_for_each_part(bench: Bench) -> None:
    moves = issued(bench)
    shelf = on_hand(bench)
    with pytest.raises(Refused, match="whether it was used: O-ring 210, Damper oil 5") as no:
        bench.record(closing(bench, moves, wiper="1"))
    assert no.value.field == "back"
    assert on_hand(bench) == shelf


def test_all_of_it_goes_back_and_nothing_is_billed(bench: Bench) -> None:
    shelf = on_hand(bench)
    moves = issued(bench)
    assert on_hand(bench) != shelf and len(lines(bench)) == 2
    row = bench.record(closing(bench, moves, wiper="1", ring="2", oil="473 mL"))
    assert on_hand(bench) == shelf
    assert lines(bench) == []
    back = StockMove.objects.filter(job=bench.job, kind="return")
    assert {move.act_id for move in back} == {row.act_id}
    assert [(one["name"], one["shown"]) for one in row.payload["back"]] == [
        ("Wiper", "1"), ("O-ring 210", "2"), ("Damper oil 5", "473 mL"),
    ]  # fmt: skip
    assert issued_of(bench.sheet()) == []
    assert books.differences() == []


def test_oil_that_was_not_poured_goes_back_by_its_amount(bench: Bench) -> None:
    moves = issued(bench)
    bench.record(closing(bench, moves, wiper="", ring="0", oil="73 mL"))
    assert on_hand(bench)["oil"] == 100_000 - 4_000
    assert ("Damper oil 5", Decimal("0.4")) in lines(bench)
    assert ("Seal kit K25", Decimal(1)) in lines(bench)
    assert books.differences() == []


def test_a_kit_that_was_opened_is_billed_by_its_pieces_where_they_have_prices(bench: Bench) -> None:
    Item.objects.filter(code__in=["wiper-25", "oring-210"]).update(price=Decimal("4.50"))
    moves = issued(bench)
    row = bench.record(closing(bench, moves, wiper="1", ring="1", oil=""))
    assert lines(bench) == [("Damper oil 5", Decimal("0.473")), ("O-ring 210", Decimal(1))]
    assert "billed" not in row.payload
    assert books.differences() == []


@pytest.mark.parametrize("price", ["0", "80"])
def test_a_kit_whose_pieces_say_nothing_less_stays_billed_and_it_is_said(bench: Bench, price: str) -> None:
    Item.objects.filter(code__in=["wiper-25", "oring-210"]).update(price=Decimal(price))
    moves = issued(bench)
    row = bench.record(closing(bench, moves, wiper="1", ring="", oil=""))
    assert ("Seal kit K25", Decimal(1)) in lines(bench)
    assert row.payload["billed"] == ["Seal kit K25: opened, billed whole"]
    assert books.differences() == []


def test_what_is_invoiced_stays_billed_and_it_is_said(bench: Bench) -> None:
    moves = issued(bench)
    OrderLine.objects.filter(job=bench.job, what="Damper oil 5").update(invoiced=True)
    row = bench.record(closing(bench, moves, wiper="1", ring="2", oil="473"))
    assert [what for what, _quantity in lines(bench)] == ["Damper oil 5"]
    assert row.payload["billed"] == ["Damper oil 5: invoiced already, to be corrected by a credit note"]


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"wiper": "2"}, "Wiper: 2 cannot go back, only 1 was issued."),
        ({"oil": "1 L"}, "only 473 mL was issued"),
        ({"oil": "half"}, "Damper oil 5: “half”"),
        ({"wiper": "0.5"}, "Wiper: "),
    ],
)
def test_no_more_goes_back_than_was_issued(bench: Bench, said: dict[str, str], words: str) -> None:
    moves = issued(bench)
    with pytest.raises(Refused, match=words):
        bench.record(closing(bench, moves, **{"wiper": "", "ring": "", "oil": ""} | said))
    assert not StockMove.objects.filter(kind="return").exists()


def test_a_part_of_another_job_does_not_go_back_here(bench: Bench) -> None:
    moves = issued(bench)
    with pytest.raises(Refused, match="has changed"):
        bench.record(
            bench.entry(
                "", "close", outcome="unrepaired", words="x", back=(BackIn(max(moves.values()) + 1, "1"),)
            )
        )


def test_the_same_closing_twice_gives_back_once(bench: Bench) -> None:
    moves = issued(bench)
    entry = closing(bench, moves, wiper="1", ring="2", oil="473")
    bench.record(entry)
    with pytest.raises(AlreadyDone):
        bench.record(entry)
    assert StockMove.objects.filter(kind="return").count() == 3


def test_a_stop_asks_for_nothing_and_its_closing_for_all(bench: Bench) -> None:
    moves = issued(bench)
    bench.record(closing(bench, moves, outcome="unsafe"))
    bench.do("", "release", by=bench.owner, words="made safe by a gas fitter, drilled at the valve")
    with pytest.raises(Refused, match="whether it was used"):
        bench.record(closing(bench, moves, outcome="unsafe"))
    bench.record(closing(bench, moves, outcome="unsafe", wiper="", ring="", oil=""))
    assert Entry.objects.filter(kind="close").count() == 2


def test_done_used_all_of_it_where_nothing_else_is_said(bench: Bench) -> None:
    bench.through(bench.steps[-1].step.code)
    asked = [
        row["left"] for row in document_of(bench.sheet(), bench.technician, bench.at)["closing"]["issued"]
    ]
    assert asked == ["1", "2", "473 mL"]
    bench.do("", "close", outcome="done")
    assert not StockMove.objects.filter(kind="return").exists()
    assert len(lines(bench)) == 2


def test_done_with_oil_left_over_bills_what_was_poured(bench: Bench) -> None:
    bench.through(bench.steps[-1].step.code)
    oil = next(row.move.pk for row in issued_of(bench.sheet()) if row.move.item.code == "oil-5")
    bench.do("", "close", outcome="done", back=(BackIn(oil, "23 mL"),))
    assert ("Damper oil 5", Decimal("0.45")) in lines(bench)
    assert books.differences() == []


def test_a_corrected_part_is_asked_for_as_it_stands(bench: Bench) -> None:
    bench.unlock("strip")
    first = bench.do("reseal-kit", "part")
    bench.do("reseal-kit", "part", replaces=first.pk)
    assert [row.left for row in issued_of(bench.sheet())] == [1, 2]
    assert {row.entry.pk for row in issued_of(bench.sheet())} == {bench.made[-1].pk}

"""A part step where the sheet names no part, or where an amount is typed that nobody asked for.

Seen red with words not asked for, with the rule of the kit's absence left out, and with an amount taken for any item.
"""

from __future__ import annotations

import pytest

from shopapp.orders.models import OrderLine, WorkType
from shopapp.shop.services.acts import Refused
from shopapp.stock.models import LotLevel, StockMove
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db


def no_kit(bench: Bench) -> None:
    """Let this kind of work take no kit: the sheet then names none for the step."""
    WorkType.objects.filter(pk=bench.job.work_type_id).update(kit_rule="none")
    bench.unlock("strip")


def moved(bench: Bench) -> bool:
    return StockMove.objects.filter(job=bench.job).exists()


def test_where_the_sheet_names_no_part_words_are_asked_for(bench: Bench) -> None:
    no_kit(bench)
    with pytest.raises(Refused, match="names no part here") as no:
        bench.do("reseal-kit", "part")
    assert no.value.field == "words"
    assert bench.step("reseal-kit").key in bench.sheet().standing.missing


def test_with_words_it_stands_and_neither_stock_nor_bill_moves(bench: Bench) -> None:
    no_kit(bench)
    row = bench.do("reseal-kit", "part", words="two O-rings of the customer's own")
    assert bench.sheet().satisfying(bench.step("reseal-kit").key) == row
    assert "moves" not in row.payload
    assert not moved(bench)
    assert not OrderLine.objects.filter(job=bench.job, comes_from="move").exists()


def test_an_amount_is_taken_of_oil_alone(bench: Bench) -> None:
    bench.unlock("strip")
    with pytest.raises(Refused, match="No amount is asked for here") as no:
        bench.do("reseal-kit", "part", text="5 mL")
    assert no.value.field == "text"
    assert not moved(bench)
    assert LotLevel.objects.get(lot=bench.lots["wiper"]).on_hand == 6

"""Lots and what goes back, as a tablet sends them in rows: a sentence for what cannot be read, and nothing stored.

Seen red with each rule of `_lots` and `_back` left out in turn (list, length, mapping, named twice, number), with one
row less allowed, and with `back` read as empty.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shopapp.bench.models import Entry
from shopapp.bench.services.entry_in import LONGEST, MOST_LOTS
from shopapp.people.models import Person
from shopapp.stock.models import LotLevel, StockMove
from tests.bench.make import Bench
from tests.bench.test_endpoint import body, post
from tests.bench.test_put_back import issued

pytestmark = pytest.mark.django_db

LOTS = "The lots cannot be read. Choose them again."
TWO_LOTS = "A line names two lots. Choose one for each."
BACK = "What goes back cannot be read. Say it again."
NUMBER = "A whole number is missing here. Load the sheet again."
WRONG: list[tuple[str, Any, str]] = [
    ("lots", "1", LOTS), ("lots", {}, LOTS), ("lots", {"line": 1, "lot": 1}, LOTS), ("lots", 0, LOTS),
    ("lots", False, LOTS), ("lots", [1], LOTS), ("lots", [None], LOTS), ("lots", [["line", 1]], LOTS),
    ("lots", [{"line": 1, "lot": 1}, "x"], LOTS),
    ("lots", [{"line": row, "lot": 1} for row in range(MOST_LOTS + 1)], LOTS),
    ("lots", [{"line": 1, "lot": 1}, {"line": 1, "lot": 2}], TWO_LOTS),
    ("lots", [{}], NUMBER), ("lots", [{"line": 1}], NUMBER), ("lots", [{"lot": 1}], NUMBER),
    ("lots", [{"line": "1", "lot": 1}], NUMBER), ("lots", [{"line": 1, "lot": True}], NUMBER),
    ("lots", [{"line": -1, "lot": 1}], NUMBER), ("lots", [{"line": 1, "lot": 2**62}], NUMBER),
    ("back", "1", BACK), ("back", {}, BACK), ("back", {"move": 1, "text": "1"}, BACK), ("back", 0, BACK),
    ("back", False, BACK), ("back", [1], BACK), ("back", [None], BACK), ("back", [["move", 1]], BACK),
    ("back", [{"move": 1, "text": "1"}, "x"], BACK),
    ("back", [{"move": row, "text": "1"} for row in range(MOST_LOTS + 1)], BACK),
    ("back", [{"move": 1, "text": "1"}, {"move": 1, "text": ""}], BACK),
    ("back", [{}], NUMBER), ("back", [{"text": "1"}], NUMBER), ("back", [{"move": "1", "text": "1"}], NUMBER),
    ("back", [{"move": False}], NUMBER), ("back", [{"move": -1}], NUMBER), ("back", [{"move": 2**62}], NUMBER),
    ("back", [{"move": 1, "text": 1}], "A text is expected here. Type it again."),
    ("back", [{"move": 1, "text": "a\0"}], "This has a character that cannot be stored. Type it again."),
    ("back", [{"move": 1, "text": "9" * (LONGEST["text"] + 1)}],
     "This is too long: at most 60 characters. Shorten it."),
]  # fmt: skip


@pytest.fixture
def client(bench: Bench, client_as: Callable[[Person], Client]) -> Client:
    return client_as(bench.technician)


def test_rows_that_cannot_be_read_are_a_sentence_and_nothing_is_stored(bench: Bench, client: Client) -> None:
    """A step that takes neither: nothing but the reading of the rows refuses them."""
    response = post(client, *(body(bench, **{name: value}) for name, value, _sentence in WRONG))
    assert response.status_code == 200
    for (name, value, sentence), answer in zip(WRONG, response.json()["answers"], strict=True):
        assert (answer["state"], answer["sentence"]) == ("refused", sentence), (name, value)
        assert answer["field"], (name, value)
    assert not Entry.objects.exists()


def test_as_many_rows_as_are_allowed_are_read(bench: Bench, client: Client) -> None:
    full = body(
        bench,
        lots=[{"line": row, "lot": 1} for row in range(MOST_LOTS)],
        back=[{"move": row} for row in range(MOST_LOTS)],
    )
    nothing = body(bench, "wash-outside", lots=None, back=None)
    answers = post(client, full, nothing).json()["answers"]
    assert [answer["state"] for answer in answers] == ["stored", "stored"], answers


def test_what_was_not_used_goes_back_by_what_the_tablet_sends(bench: Bench, client: Client) -> None:
    """One piece of the kit and part of the oil go back to their lots; the wiper was used."""
    moves = issued(bench)
    level = LotLevel.objects.get(lot=bench.lots["oil"]).on_hand
    back = [
        {"move": moves["wiper-25"], "text": ""},
        {"move": moves["oring-210"], "text": "1"},
        {"move": moves["oil-5"], "text": " 73 mL "},
    ]
    row = body(bench, "", "close", outcome="unrepaired", words="part unobtainable", back=back)
    answer = post(client, row).json()["answers"][0]
    assert (answer["state"], answer["sentence"]) == ("stored", "")
    found = StockMove.objects.filter(job=bench.job, kind="return").order_by("pk")
    assert [(move.lot, move.quantity) for move in found] == [
        (bench.lots["ring"], 1),
        (bench.lots["oil"], 730),
    ]
    assert LotLevel.objects.get(lot=bench.lots["oil"]).on_hand == level + 730


def test_a_closing_whose_rows_cannot_be_read_gives_nothing_back(bench: Bench, client: Client) -> None:
    moves = issued(bench)
    before = Entry.objects.count()
    back = [{"move": pk, "text": "1"} for pk in (*moves.values(), moves["oil-5"])]
    row = body(bench, "", "close", outcome="unrepaired", words="part unobtainable", back=back)
    answer = post(client, row).json()["answers"][0]
    assert (answer["state"], answer["sentence"], answer["field"]) == ("refused", BACK, "back")
    assert Entry.objects.count() == before
    assert not StockMove.objects.filter(job=bench.job, kind="return").exists()

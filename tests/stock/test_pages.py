"""The stock page and the receiving form: who may, what is said, done twice, hostile text."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from shopapp.stock import services as stock
from shopapp.stock.models import Item, Lot
from tests.conftest import drawn

from .shelf import NOW, TODAY, a_kit, a_lot, an_item

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
HOSTILE = [
    "\x00",
    "\ud800",
    "1e400",
    "9" * 40,
    "<script>alert(1)</script>",
    "' OR 1=1 --",
    "x" * 100_000,
    "\u202e",
]


def filled(item: Item, /, **changed: str) -> dict[str, str]:
    return {
        "act_key": "receive-form-1", "item": str(item.pk), "batch": "2604-C", "quantity": "12",
        "received": str(TODAY), "cured": "", "expires": str(TODAY + dt.timedelta(days=900)), **changed,
    }  # fmt: skip


def page_of(client: Client, query: str = "") -> str:
    response = client.get(f"/stock/{query}")
    assert response.status_code == 200
    return response.content.decode()


def test_the_page_says_what_can_be_built_and_what_is_there(technician: Person, client_as: As) -> None:
    wiper = an_item(minimum=8, bin="B4")
    oil = an_item("OIL-15", "damper oil 15", "0.1 mL")
    a_kit((wiper, 1))
    a_lot(wiper, 6, "2604-C", expires=dt.date(2126, 3, 3))
    a_lot(oil, 11205)
    bad = a_lot(oil, 10, "bad")
    stock.block_lot(lot=bad, why="smells burnt", by=technician, at=NOW, call=Call.fresh())
    a_lot(wiper, 1, "old", received=dt.date(2020, 1, 1), expires=dt.date(2020, 1, 2))
    page = page_of(client_as(technician))
    for words in (
        "makes 6, wiper 3/4 in ends it", "B4", "1 below 8", "1121.5 mL", "use by 3 Mar 2126",
        "blocked: smells burnt", "past its date",
    ):  # fmt: skip
        assert words in page, words
    assert "/stock/receive" not in page, "a technician may not receive"


def test_the_page_narrows_by_words_and_by_what_is_low(desk: Person, client_as: As) -> None:
    an_item("W-19", "wiper", minimum=1)
    an_item("O-210", "ring")
    client = client_as(desk)
    assert "O-210" not in page_of(client, "?q=WIPER")
    low = page_of(client, "?show=low")
    assert "W-19" in low and "O-210" not in low
    assert "No item fits that." in page_of(client, "?q=%25zebra")
    assert "/stock/receive" in low


def test_an_empty_shelf_says_so(desk: Person, client_as: As) -> None:
    page = page_of(client_as(desk))
    assert "No kit is kept yet" in page
    assert "No item is kept yet" in page


def test_a_lot_is_received_as_typed(desk: Person, client_as: As) -> None:
    oil = an_item("OIL-15", "damper oil 15", "0.1 mL")
    response = client_as(desk).post("/stock/receive", filled(oil, quantity="5 L"), follow=True)
    assert response.redirect_chain == [("/stock/", 302)]
    assert "5000 mL of damper oil 15 received, batch 2604-C." in response.content.decode()
    lot = Lot.objects.get()
    assert (lot.level.on_hand, lot.received, lot.cured) == (50000, TODAY, None)


def test_sent_twice_it_counts_once_and_with_other_figures_it_is_refused(desk: Person, client_as: As) -> None:
    item, client = an_item(), client_as(desk)
    client.post("/stock/receive", filled(item))
    assert client.post("/stock/receive", filled(item)).status_code == 302
    again = client.post("/stock/receive", filled(item, quantity="13"))
    assert again.status_code == 422
    assert "stored already with other figures" in again.content.decode()
    item.level.refresh_from_db()
    assert item.level.on_hand == 12


def test_wrong_person_and_wrong_method(desk: Person, technician: Person, client_as: As) -> None:
    item = an_item()
    assert client_as(technician).post("/stock/receive", filled(item)).status_code == 403
    assert client_as(desk).delete("/stock/receive").status_code == 405
    assert client_as(desk).post("/stock/").status_code == 405
    assert Client().get("/stock/").status_code == 302
    assert not Lot.objects.exists()


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"quantity": "1.5"}, "counted in whole pieces"),
        ({"quantity": "5 L"}, "counted in pieces"),
        ({"expires": "2020-01-01"}, "past its date when it came"),
        ({"received": "2999-01-01"}, "day to come"),
        ({"item": "999999"}, "Select a valid choice"),
    ],
)
def test_what_cannot_be_received_keeps_the_form_with_a_sentence(
    desk: Person, client_as: As, changed: dict[str, str], says: str
) -> None:
    response = client_as(desk).post("/stock/receive", filled(an_item(), **changed))
    page = response.content.decode()
    assert response.status_code == 422
    assert says in page
    assert "2604-C" in page and "receive-form-1" in page
    assert not Lot.objects.exists()


@pytest.mark.parametrize("field", ["act_key", "item", "batch", "quantity", "received", "cured", "expires"])
@pytest.mark.parametrize("text", drawn(HOSTILE, 3))
def test_hostile_text_is_never_a_500(desk: Person, client_as: As, field: str, text: str) -> None:
    body = filled(an_item(), **{field: text.encode("utf-8", "surrogatepass").decode("utf-8", "replace")})
    client = client_as(desk)
    assert client.post("/stock/receive", body).status_code in (302, 400, 413, 422)
    assert "<script>alert" not in page_of(client)
    answer = client.get("/stock/", {"q": body[field], "page": body[field], "show": body[field]})
    assert answer.status_code in (200, 400)
    assert client.get("/stock/receive", {"item": body[field]}).status_code in (200, 400)


def test_the_page_asks_as_much_for_twenty_as_for_ten(desk: Person, client_as: As) -> None:
    client, counts = client_as(desk), []
    for batch in range(2):
        for number in range(10):
            item = an_item(f"I{batch}-{number}", f"part {number}")
            a_lot(item, 3)
            a_lot(item, 3, "second")
            a_kit((item, 1), code=f"K{batch}-{number}")
        with CaptureQueriesContext(connection) as asked:
            page_of(client)
        counts.append(len(asked))
    assert counts[0] == counts[1]

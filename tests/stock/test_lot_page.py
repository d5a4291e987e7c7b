"""A lot's page: counted, blocked; who may, done twice, hostile text, moved in between."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Refused
from shopapp.stock import queries
from shopapp.stock.books import item_differences, lot_differences
from shopapp.stock.models import Lot, StockMove
from tests.web.hostile import HOSTILE

from .shelf import TODAY, a_job, a_lot, an_item, issue, levels

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


def at(name: str, lot: Lot) -> str:
    return reverse(name, args=[lot.pk])


def counted(text: str, booked: int, **more: str) -> dict[str, str]:
    return {"act_key": new_key(), "counted": text, "booked": str(booked), "reason": "by hand"} | more


def test_a_count_is_a_move_with_its_reason_and_once(desk: Person, client_as: As) -> None:
    item = an_item("OIL-15", "damper oil 15", "0.1 mL")
    lot, client = a_lot(item, 9000), client_as(desk)
    page = client.get(at("stock-lot", lot)).content.decode()
    assert "900 mL" in page and 'value="9000"' in page
    assert at("stock-lot", lot) in client.get("/stock/").content.decode()
    body = counted("0.85 L", 9000)
    for _time in range(2):
        answer = client.post(at("stock-lot-count", lot), body)
        assert (answer.status_code, answer["Location"]) == (302, at("stock-lot", lot))
    move = StockMove.objects.get(kind="count")
    assert (move.quantity, move.reason, move.by) == (-500, "by hand", desk)
    assert levels(item) == (8500, 0, 0)
    assert Act.objects.get(verb="count_lot").changed == [
        {"field": "on hand", "old": "900 mL", "new": "850 mL"}
    ]
    assert "−50 mL" in client.get(at("stock-lot", lot)).content.decode()
    assert client.post(at("stock-lot-count", lot), counted("0", 8500)).status_code == 302
    assert levels(item) == (0, 0, 0)
    assert [*item_differences(), *lot_differences()] == []


def test_what_moved_while_it_was_counted_is_counted_again(
    desk: Person, technician: Person, client_as: As
) -> None:
    item = an_item()
    lot = a_lot(item, 9)
    issue(lot, 1, a_job(technician), technician)
    answer = client_as(desk).post(at("stock-lot-count", lot), counted("9", 9, reason="left as typed"))
    page = answer.content.decode()
    assert answer.status_code == 422 and "Count it again" in page and 'value="left as typed"' in page
    assert levels(item) == (8, 0, 0)


def test_a_blocked_lot_is_neither_offered_nor_issued(desk: Person, technician: Person, client_as: As) -> None:
    item = an_item()
    lot, client = a_lot(item, 6), client_as(desk)
    body = {"act_key": new_key(), "why": "lips cut"}
    for _time in range(2):
        assert client.post(at("stock-lot-block", lot), body).status_code == 302
    assert levels(item) == (6, 6, 0)
    assert list(queries.all_good_lots(TODAY)) == []
    with pytest.raises(Refused):
        issue(lot, 1, a_job(technician), technician)
    page = client.get(at("stock-lot", lot)).content.decode()
    assert "lips cut" in page and "Block this lot" not in page
    again = client.post(at("stock-lot-block", lot), {"act_key": new_key(), "why": "twice"})
    assert again.status_code == 422 and "blocked already" in again.content.decode()


@pytest.mark.parametrize(
    ("name", "body"),
    [
        ("stock-lot-count", {"counted": "", "booked": "6", "reason": "x"}),
        ("stock-lot-count", {"counted": "-1", "booked": "6", "reason": "x"}),
        ("stock-lot-count", {"counted": "5.5", "booked": "6", "reason": "x"}),
        ("stock-lot-count", {"counted": "5", "booked": "", "reason": "x"}),
        ("stock-lot-count", {"counted": "5", "booked": "6", "reason": " "}),
        ("stock-lot-block", {"why": " "}),
    ],
)
def test_what_is_missing_or_wrong_keeps_the_form(
    desk: Person, client_as: As, name: str, body: dict[str, str]
) -> None:
    lot, key = a_lot(an_item(), 6), new_key()
    answer = client_as(desk).post(at(name, lot), {"act_key": key, **body})
    assert answer.status_code == 422 and key in answer.content.decode()
    assert StockMove.objects.filter(kind="count").count() == 0 and not Lot.objects.get().blocked_at


def test_hostile_text_is_never_a_fault(desk: Person, client_as: As) -> None:
    lot, client = a_lot(an_item(), 6), client_as(desk)
    for text in HOSTILE.values():
        for name, fields in (
            ("stock-lot-count", ("counted", "booked", "reason")),
            ("stock-lot-block", ("why",)),
        ):
            for field in fields:
                body = {**counted("6", 6), "why": "x", field: text}
                answer = client.post(at(name, lot), body)
                assert answer.status_code in (302, 400, 422), (name, field, text[:40])
                assert b"<script>alert" not in answer.content


def test_who_may(desk: Person, technician: Person, client_as: As) -> None:
    lot = a_lot(an_item(), 6)
    client = client_as(technician)
    assert client.get(at("stock-lot", lot)).status_code == 403
    assert at("stock-lot", lot) not in client.get("/stock/").content.decode()
    for name in ("stock-lot-count", "stock-lot-block"):
        assert client.post(at(name, lot), {}).status_code == 403
        assert Client().post(at(name, lot), {}).status_code == 302
        assert client_as(desk).get(at(name, lot)).status_code == 405
        assert client_as(desk).post(reverse(name, args=[lot.pk + 9]), {}).status_code == 404
    assert client_as(desk).get(reverse("stock-lot", args=[lot.pk + 9])).status_code == 404


def test_the_page_asks_as_often_for_20_moves_as_for_10(
    desk: Person, technician: Person, client_as: As
) -> None:
    lot, client = a_lot(an_item(), 100), client_as(desk)

    def asked() -> int:
        with CaptureQueriesContext(connection) as found:
            assert client.get(at("stock-lot", lot)).status_code == 200
        return len(found)

    for _number in range(10):
        issue(lot, 1, a_job(technician), technician)
    client.get(at("stock-lot", lot))
    ten = asked()
    for _number in range(10):
        issue(lot, 1, a_job(technician), technician)
    assert asked() == ten

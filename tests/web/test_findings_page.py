# ruff: noqa: F811 (the bench is a fixture of another folder)
"""Findings on an order's page: each form works, refuses the wrong method and the wrong person, and once means once."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopapp.bench.models import Finding
from shopapp.orders.models import OrderLine, Remark, WorkConsent
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.bench.test_findings import agree, find
from tests.money.rows import rate
from tests.web.hostile import HOSTILE

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]


@pytest.fixture
def client(client_as: As, desk: Person, owner: Person) -> Client:
    rate(owner)
    return client_as(desk)


def said(response: Any) -> str:
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))
    return text.replace("&#x27;", "'").replace("&quot;", '"')


def page(client: Client, found: Bench) -> str:
    return said(client.get(reverse("order", args=[found.order.number])))


def price(**other: Any) -> dict[str, Any]:
    return {
        "what": "New rod",
        "price": "145.00",
        "tax_category": "S",
        "revision": 1,
        "act_key": new_key(),
    } | other


def answer(**other: Any) -> dict[str, Any]:
    return {
        "yes": "yes",
        "amount": "600.00",
        "who": "W. Dallimore",
        "how": "phone",
        "act_key": new_key(),
    } | other


def url(name: str, row: Finding) -> str:
    return reverse(f"finding-{name}", args=[row.pk])


def test_from_the_finding_to_the_line(bench: Bench, client: Client) -> None:
    row = find(bench)
    text = page(client, bench)
    assert "rod: pitted" in text
    assert "waits for a yes" in text
    assert client.post(url("price", row), price()).status_code == 302
    text = page(client, bench)
    assert "$156.96 with tax" in text
    assert client.post(url("answer", row), answer()).status_code == 302
    line = OrderLine.objects.get(comes_from="finding")
    assert (line.what, line.entry_id) == ("New rod", row.entry_id)
    consent = WorkConsent.objects.get(about="finding")
    assert (consent.how, consent.who) == ("by phone", "W. Dallimore")
    text = page(client, bench)
    assert "up to $600.00" in text
    back = {"why": "changed his mind", "act_key": new_key()}
    assert client.post(url("take-back", row), back).status_code == 302
    assert not OrderLine.objects.filter(comes_from="finding").exists()
    assert Remark.objects.filter(words="changed his mind").exists()
    assert "waits for a yes" in page(client, bench)


def test_what_the_order_would_come_to_is_proposed(bench: Bench, client: Client) -> None:
    row = find(bench)
    client.post(url("price", row), price())
    html = client.get(reverse("order", args=[bench.order.number])).content.decode()
    wanted = re.search(rf'id="id_answer{row.pk}_amount"[^>]*', html) or re.search(r'name="amount"[^>]*', html)
    assert wanted is not None
    both = 2 * 186 + 145
    assert f'value="{both * 1.0825:.2f}"' in html


@pytest.mark.parametrize(
    ("form", "wrong", "word"),
    [
        ("price", {"price": "a lot"}, "not an amount"),
        ("price", {"price": "999999999"}, "up to 99,999,999"),
        ("price", {"what": ""}, "required"),
        ("price", {"tax_category": "nope"}, "nope"),
        ("answer", {"yes": ""}, "yes or no"),
        ("answer", {"amount": ""}, "up to what amount"),
        ("answer", {"how": "pigeon"}, "pigeon"),
        ("answer", {"day": "2026-03-02"}, "at which hour"),
        ("answer", {"hour": "9:00"}, "on which day"),
        ("answer", {"day": "2001-01-01", "hour": "9:00"}, "day and hour"),
        ("take-back", {"why": ""}, "required"),
    ],
)
def test_a_refused_form_says_why_and_keeps_what_was_typed(
    bench: Bench,
    client: Client,
    form: str,
    wrong: dict[str, str],
    word: str,
) -> None:
    row = find(bench)
    if form != "price":
        client.post(url("price", row), price())
    if form == "take-back":
        client.post(url("answer", row), answer())
    sent = {
        "price": price,
        "answer": answer,
        "take-back": lambda **o: {"why": "x", "act_key": new_key()} | o,
    }[form](**wrong)
    response = client.post(url(form, row), sent)
    assert response.status_code == 422
    assert word in said(response)
    if form == "price" and "what" not in wrong:
        assert 'value="New rod"' in response.content.decode()


def test_sent_twice_is_one(bench: Bench, client: Client) -> None:
    row = find(bench)
    client.post(url("price", row), price())
    sent = answer()
    for _ in range(2):
        assert client.post(url("answer", row), sent).status_code == 302
    assert client.post(url("answer", row), sent | {"yes": "no"}).status_code == 422
    assert WorkConsent.objects.filter(about="finding").count() == 1


def test_another_desk_that_answered_first_is_named(bench: Bench, client: Client) -> None:
    row = find(bench)
    client.post(url("price", row), price())
    client.post(url("answer", row), answer(yes="no", amount=""))
    late = client.post(url("answer", row), answer())
    assert late.status_code == 422
    assert "answered already: no" in said(late)


def test_the_wrong_person_the_wrong_method_and_none_at_all(
    bench: Bench, client: Client, client_as: As
) -> None:
    row = find(bench)
    for name, sent in (("price", price()), ("answer", answer()), ("take-back", {"why": "x"})):
        assert client_as(bench.technician).post(url(name, row), sent).status_code == 403
        assert Client().post(url(name, row), sent).status_code == 302
        assert client.get(url(name, row)).status_code == 405
        assert client.post(reverse(f"finding-{name}", args=[987654])).status_code == 404
    row.refresh_from_db()
    assert (row.price, row.answer) == (None, "")


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_text_is_refused_or_stays_text(bench: Bench, client: Client, text: str) -> None:
    row = find(bench)
    response = client.post(url("price", row), price(what=text))
    assert response.status_code in (302, 422)
    Finding.objects.filter(pk=row.pk).update(what="New rod", price=1)
    response = client.post(url("answer", row), answer(who=text, how=text))
    assert response.status_code == 422
    response = client.post(url("answer", row), answer(who=text))
    assert response.status_code in (302, 422)
    assert "<script>alert" not in client.get(reverse("order", args=[bench.order.number])).content.decode()


def test_as_many_queries_for_many_findings_as_for_one(bench: Bench, client: Client) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("order", args=[bench.order.number]))
        return len(queries)

    agree(bench, find(bench))
    find(bench)
    client.post(url("price", Finding.objects.latest("pk")), price())
    few = count()
    for _ in range(6):
        agree(bench, find(bench))
        find(bench)
    assert count() == few


@pytest.mark.parametrize(("yes", "word"), [(True, "yes"), (False, "no")])
def test_an_answer_from_before_a_correction_asks_again(
    bench: Bench, client: Client, yes: bool, word: str
) -> None:
    """Seen red with what is corrected left out altogether, and with the words kept beside the new answer."""
    other = find(bench, part="eyelet", words="play in it", answer="should")
    old = find(bench, answer="should")
    agree(bench, other, yes=True)
    agree(bench, old, yes=yes)
    asks = f"A {word} was given before the technician corrected it: ask again."
    assert asks not in page(client, bench)
    new = find(bench, replaces=old.entry_id, words="bent as well", answer="should")
    text = page(client, bench)
    assert text.count(asks) == 1 and "waits for a yes" in text
    agree(bench, new, yes=yes)
    assert asks not in page(client, bench)

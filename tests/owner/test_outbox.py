"""The owner's outbox: what failed stands first, says of which paper it is, and is tried again once.

Seen red with what was sent listed first; with the row's kind for words; with the papers read row by row; with any row
tried again, whatever its state; with what went wrong left standing; with the act not about the row.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act, Outbox
from shopapp.shop.services import outbox, outbox_again
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from tests.conftest import NOW
from tests.shop import echo_kind  # noqa: F401  (it registers its kinds)

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
PAGE = "/owner/outbox"


@pytest.fixture
def client(client_as: As, owner: Person) -> Client:
    return client_as(owner)


def a_row(state: str, number: int, *, kind: str = "paper", paper: Paper | None = None) -> Outbox:
    return Outbox.objects.create(
        kind=kind, key=f"{kind}:{number}", ids={"paper": str(paper.pk)} if paper else {}, state=state,
        due=NOW + dt.timedelta(minutes=number), made_at=NOW, attempt=5 if state == "failed" else 0,
        problem="the disk is full" if state == "failed" else "", done_at=NOW if state == "sent" else None,
        lease=NOW if state == "claimed" else None,
    )  # fmt: skip


def an_invoice(by: Person, number: int) -> Paper:
    act = Act.objects.create(key=Call.fresh().key, verb="issue_invoice", at=NOW, by=by)
    return Paper.objects.create(
        kind="invoice", subject_kind="invoice", subject_id=str(number), figures={}, figures_hash="ab" * 32, act=act,
        issued_at=NOW,
    )  # fmt: skip


def shown(client: Client) -> list[tuple[str, str]]:
    page = client.get(PAGE).content.decode()
    rows = re.findall(r"<tr><td data-label=\"State\">(.*?)</tr>", page, re.S)
    return [
        (
            next(word for word in ("failed", "unknown", "planned", "claimed", "done") if word in row.split("What")[0]),
            re.sub(r"<[^>]*>", "", row.split('data-label="What">')[1].split("</td>")[0]),
        )
        for row in rows
    ]  # fmt: skip


def again(client: Client, row: Outbox | int, key: str = "") -> Any:
    pk = row if isinstance(row, int) else row.pk
    return client.post(PAGE, {"act_key": key or new_key(), "row": str(pk)})


def test_empty(client: Client) -> None:
    assert "The outbox is empty: nothing waits and nothing failed." in client.get(PAGE).content.decode()


def test_what_a_person_must_look_at_stands_first(client: Client, owner: Person) -> None:
    paper = an_invoice(owner, 1)
    a_row("sent", 9, paper=paper)
    a_row("planned", 8, paper=paper)
    a_row("failed", 1, paper=paper)
    a_row("unknown", 2, kind="paper mail", paper=paper)
    a_row("planned", 3, kind="reminder")
    assert shown(client) == [
        ("unknown", "Invoice, by mail"), ("failed", "Invoice"), ("planned", "Invoice"), ("planned", "reminder"),
        ("done", "Invoice"),
    ]  # fmt: skip
    page = client.get(PAGE).content.decode()
    assert page.count(f'href="/papers/{paper.pk}"') == 4 and page.count("Try again</button>") == 2
    assert "the disk is full" in page


@pytest.mark.parametrize("state", ["failed", "unknown"])
def test_it_is_tried_again(client: Client, owner: Person, state: str) -> None:
    row = a_row(state, 1, paper=an_invoice(owner, 1))
    answer = again(client, row)
    assert (answer.status_code, answer["Location"]) == (302, PAGE)
    row.refresh_from_db()
    assert (row.state, row.attempt, row.problem) == ("planned", 0, "")
    act = Act.objects.get(verb="plan_again")
    assert (act.by, act.subject_kind, act.subject_id) == (owner, "outbox", str(row.pk))
    assert "It is planned again." in client.get(PAGE).content.decode()


@pytest.mark.parametrize("state", ["planned", "claimed", "sent"])
def test_what_did_not_fail_is_left_alone(client: Client, owner: Person, state: str) -> None:
    row = a_row(state, 1, paper=an_invoice(owner, 1))
    answer = again(client, row)
    assert answer.status_code == 422 and "This row is not one that failed." in answer.content.decode()
    row.refresh_from_db()
    assert row.state == state and not Act.objects.filter(verb="plan_again").exists()


@pytest.mark.parametrize("row", ["", "0", "-1", "9" * 30, "one", "\0", "7"])
def test_no_such_row(client: Client, owner: Person, row: str) -> None:
    assert client.post(PAGE, {"act_key": new_key(), "row": row}).status_code == 422
    assert not Act.objects.filter(verb="plan_again").exists()


def test_a_second_click_and_a_second_owner(client: Client, owner: Person) -> None:
    row, key = a_row("failed", 1, paper=an_invoice(owner, 1)), new_key()
    assert [again(client, row, key).status_code for _click in range(2)] == [302, 302]
    assert Act.objects.filter(verb="plan_again").count() == 1
    call = Call("again", request_hash="h")
    Outbox.objects.update(state="failed")
    outbox_again.plan_again(row=row.pk, by=owner, at=NOW, call=call)
    with pytest.raises(AlreadyDone):
        outbox_again.plan_again(row=row.pk, by=owner, at=NOW, call=call)
    with pytest.raises(Refused, match="not one that failed"):
        outbox_again.plan_again(row=row.pk, by=owner, at=NOW, call=Call.fresh())


@pytest.mark.parametrize("who", ["desk", "technician"])
def test_it_is_the_owners_alone(
    client_as: As, who: str, request: pytest.FixtureRequest, owner: Person
) -> None:
    row = a_row("failed", 1, paper=an_invoice(owner, 1))
    client = client_as(request.getfixturevalue(who))
    assert (client.get(PAGE).status_code, again(client, row).status_code) == (403, 403)
    assert Outbox.objects.get().state == "failed"


def test_the_queries_do_not_grow(client: Client, owner: Person) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as caught:
            assert client.get(PAGE).status_code == 200
        return len(caught)

    for number in range(10):
        a_row("failed", number, paper=an_invoice(owner, number))
    ten = queries()
    for number in range(10, 20):
        a_row("failed", number, kind="paper mail", paper=an_invoice(owner, number))
    assert queries() == ten


def test_what_is_planned_again_is_done(client: Client) -> None:
    row = a_row("failed", 1, kind="echo")
    Outbox.objects.update(ids={"n": 1})
    assert outbox.sweep(at=NOW + dt.timedelta(days=1)) == {}
    again(client, row)
    row.refresh_from_db()
    assert outbox.sweep(at=row.due) == {"sent": 1}
    assert shown(client) == [("done", "echo")]

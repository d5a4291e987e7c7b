"""A paper sent by mail when it is asked for: after the commit, once, and what is not known is said and left.

Seen red: with a stranger's address let through, with a fault before the letter was taken called unknown, with a lost
connection tried again by itself, with the file left out, with the address kept in the act.
"""

from __future__ import annotations

import datetime as dt
import smtplib
from collections.abc import Callable
from typing import Any

import pytest
from django.core import mail
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.customers import services as customers
from shopapp.customers.models import Contact
from shopapp.customers.services import NewContact
from shopapp.money import services as money
from shopapp.orders.models import WorkOrder
from shopapp.papers import services as papers
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.models import Act, Outbox, Shop
from shopapp.shop.services import outbox
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from shopapp.web.queries.sent import order_of_paper

from .rows import NOW, an_order, rate

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
LATER = NOW + dt.timedelta(minutes=1)


@pytest.fixture(autouse=True)
def _letters_are_kept(settings: Any) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"


@pytest.fixture
def order(desk: Person, shop: Shop) -> WorkOrder:
    rate(desk)
    order = an_order(desk, limit="900.00")
    customer = order.customer
    customers.change_customer(
        customer=customer, revision=customer.revision, kind="person", name=customer.name,
        contacts=[NewContact("email", "wyn@example.com"), NewContact("phone", "555-0118")],
        by=desk, at=NOW, call=Call.fresh(),
    )  # fmt: skip
    return WorkOrder.objects.get(pk=order.pk)


@pytest.fixture
def paper(order: WorkOrder, desk: Person) -> Paper:
    found = money.issue_receipt(order=order, by=desk, at=NOW, call=Call.fresh())
    papers.render_paper(paper_id=found.pk, at=NOW)
    return found


def address() -> Contact:
    return Contact.objects.get(value="wyn@example.com")


def send(order: WorkOrder, paper: Paper, desk: Person, **other: Any) -> None:
    given = {"contact": address(), "at": NOW, "call": Call.fresh()} | other
    money.send_paper(order=order, paper=paper, by=desk, **given)


def letter() -> Outbox:
    return Outbox.objects.get(kind="paper mail")


def test_it_goes_once_with_its_file(order: WorkOrder, paper: Paper, desk: Person) -> None:
    call = Call.once("send")
    send(order, paper, desk, call=call)
    assert mail.outbox == [], "nothing is sent inside the act"
    with pytest.raises(AlreadyDone):
        send(order, paper, desk, call=call)
    outbox.sweep(at=LATER)
    outbox.sweep(at=LATER)
    (sent,) = mail.outbox
    assert sent.to == ["wyn@example.com"]
    name, content, kind = sent.attachments[0]
    assert (kind, content[:5]) == ("application/pdf", b"%PDF-") and name.endswith(".pdf")
    assert letter().state == "sent" and letter().message_id == sent.extra_headers["Message-ID"]
    act = Act.objects.get(verb="send_paper")
    assert "example.com" not in f"{act.result}{act.changed}{letter().ids}"


def test_only_to_an_address_of_the_customer(order: WorkOrder, paper: Paper, desk: Person) -> None:
    std: dict[str, Any] = {"by": desk, "at": NOW, "call": Call.fresh()}
    contacts = [NewContact("email", "other@example.com")]
    customers.add_customer(name="Somebody else", contacts=contacts, **std)
    phone = Contact.objects.get(kind="phone")
    for wrong in (Contact.objects.get(value="other@example.com"), phone):
        with pytest.raises(Refused, match="one of the customer's"):
            send(order, paper, desk, contact=wrong)
    Contact.objects.filter(pk=address().pk).update(stopped_at=NOW)
    with pytest.raises(Refused, match="one of the customer's"):
        send(order, paper, desk)


@pytest.mark.parametrize(
    ("fault", "state", "due"),
    [
        (ConnectionRefusedError("no server"), "planned", LATER + dt.timedelta(seconds=10)),
        (smtplib.SMTPRecipientsRefused({}), "planned", LATER + dt.timedelta(seconds=10)),
        (smtplib.SMTPServerDisconnected("gone"), "unknown", NOW),
        (TimeoutError("slow"), "unknown", NOW),
    ],
    ids=lambda value: type(value).__name__ if isinstance(value, Exception) else "",
)
def test_what_certainly_did_not_go_is_tried_again_and_nothing_else(
    order: WorkOrder, paper: Paper, desk: Person, monkeypatch: Any, fault: Exception, state: str, due: Any
) -> None:
    send(order, paper, desk)

    def refuse(*_args: Any, **_kwargs: Any) -> int:
        raise fault

    monkeypatch.setattr("django.core.mail.EmailMessage.send", refuse)
    outbox.sweep(at=LATER)
    assert (letter().state, letter().due) == (state, due)
    monkeypatch.undo()
    outbox.sweep(at=LATER + dt.timedelta(hours=1))
    assert len(mail.outbox) == (1 if state == "planned" else 0)


def test_a_paper_that_is_still_being_made_is_waited_for(
    order: WorkOrder, desk: Person, monkeypatch: Any
) -> None:
    paper = money.issue_receipt(order=order, by=desk, at=NOW, call=Call.fresh())
    send(order, paper, desk)
    outbox.deliver(letter().pk, at=LATER)
    assert (letter().state, letter().problem) == ("planned", "NotSent: the paper is still being made")
    papers.render_paper(paper_id=paper.pk, at=LATER)
    outbox.sweep(at=LATER + dt.timedelta(hours=1))
    assert letter().state == "sent"


def test_an_address_that_was_taken_back_meanwhile_gets_nothing(
    order: WorkOrder, paper: Paper, desk: Person
) -> None:
    """Seen red while it was called unknown whether it went."""
    send(order, paper, desk)
    Contact.objects.filter(pk=address().pk).update(stopped_at=NOW)
    for hours in range(1, 7):
        outbox.sweep(at=LATER + dt.timedelta(hours=3 * hours))
    assert (letter().state, letter().problem) == ("failed", "NotSent: the address was taken back")
    assert mail.outbox == []


def test_from_the_page(
    order: WorkOrder, paper: Paper, desk: Person, technician: Person, client_as: As
) -> None:
    path = f"/papers/{paper.pk}/send"
    client = client_as(desk)
    assert path in client.get(f"/papers/{paper.pk}").content.decode()
    assert "wyn@example.com" in client.get(path).content.decode()
    answer = client.post(path, {"act_key": "k0", "contact": ""})
    assert answer.status_code == 422 and "Choose the address" in answer.content.decode()
    answer = client.post(path, {"act_key": "k0", "contact": "999999"})
    assert answer.status_code == 422
    for _again in range(2):
        assert client.post(path, {"act_key": "k1", "contact": str(address().pk)}).status_code == 302
    assert Outbox.objects.filter(kind="paper mail").count() == 1
    assert "being sent" in client.get(path).content.decode()
    Outbox.objects.filter(kind="paper mail").update(state="unknown", problem="SMTPServerDisconnected")
    assert "unknown whether it arrived" in client.get(path).content.decode()
    assert client_as(technician).get(path).status_code == 403
    assert client.delete(path).status_code == 405
    Contact.objects.filter(pk=address().pk).update(stopped_at=NOW)
    assert "No e-mail address of" in client.get(path).content.decode()


def test_a_paper_knows_its_order(order: WorkOrder, paper: Paper) -> None:
    job = order.jobs.get(number=1)
    assert order_of_paper(paper) == order
    assert order_of_paper(Paper(subject_kind="job", subject_id=str(job.pk))) == order
    assert order_of_paper(Paper(subject_kind="tool", subject_id="1")) is None
    assert order_of_paper(Paper(subject_kind="order", subject_id="x")) is None


def test_the_orders_page_says_what_was_sent(
    client_as: As, order: WorkOrder, paper: Paper, desk: Person
) -> None:
    """Seen red with the letters of another order shown, with the failed one left out, and with a query a letter."""
    page = client_as(desk)
    assert "Sent to the customer" not in page.get(f"/orders/{order.number}").content.decode()
    send(order, paper, desk)
    outbox.sweep(at=LATER)
    other = an_order(desk, limit="900.00")
    with CaptureQueriesContext(connection) as one:
        text = page.get(f"/orders/{order.number}").content.decode()
    assert "Sent to the customer" in text and "wyn@example.com" in text and "sent 2 Mar" in text
    send(order, paper, desk)
    Outbox.objects.filter(kind="paper mail", state="planned").update(state="failed", problem="no such box")
    with CaptureQueriesContext(connection) as two:
        text = page.get(f"/orders/{order.number}").content.decode()
    assert "no such box" in text and text.count("wyn@example.com") == 2
    assert len(two) == len(one)
    assert "wyn@example.com" not in page.get(f"/orders/{other.number}").content.decode()

"""The page of an order's tags and their PDF: for whom, of what, with which methods; nothing is written by them."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from typing import Any

import pypdf
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.orders.models import WorkOrder
from shopapp.people.models import Person
from shopapp.shop.models import Act, Shop
from tests.conftest import drawn
from tests.web.hostile import HOSTILE

pytestmark = pytest.mark.django_db
Receive = Callable[..., WorkOrder]
As = Callable[[Person], Client]


@pytest.fixture
def client(client_as: As, desk: Person) -> Client:
    return client_as(desk)


@pytest.fixture
def order(receive: Receive) -> WorkOrder:
    return receive("KM25-1", "KM25-2", "KM25-3", "KM25-4")


def said(response: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def pages(response: Any) -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(response.content)).pages]


def test_the_order_offers_its_tags_and_the_page_shows_them(client: Client, order: WorkOrder) -> None:
    """Seen red with the count of the dampers in place of the tags."""
    offered = client.get("/orders/1001")
    assert "Print 12 tags" in said(offered) and "/orders/1001/tags" in offered.content.decode()
    page = client.get("/orders/1001/tags")
    assert "Print 12 tags" in said(page)
    assert "Solvent-proof stock is advised" in said(page)
    assert "/orders/1001/tags/file?stock=62x29-300&amp;job=all" in page.content.decode()
    file = client.get("/orders/1001/tags/file?stock=62x29-300&job=all")
    assert file["Content-Type"] == "application/pdf" and file["Cache-Control"] == "private, no-store"
    assert file["Content-Disposition"] == 'inline; filename="tags-1001-62x29-300.pdf"'
    assert file["X-Frame-Options"] == "SAMEORIGIN"
    assert len(pages(file)) == 12
    assert "Wyn" not in " ".join(pages(file)), "the bench reads them: no customer's name"


def test_one_damper_on_a_large_label_is_one_page(client: Client, order: WorkOrder) -> None:
    """Seen red with the choice of the damper ignored."""
    page = client.get("/orders/1001/tags?stock=102x152-203&job=3")
    assert "Print 3 tags" in said(page)
    found = pages(client.get("/orders/1001/tags/file?stock=102x152-203&job=3"))
    assert len(found) == 1 and found[0].count("Order 1001/3") == 3


def test_what_is_not_here_any_more_is_not_offered(client: Client, order: WorkOrder) -> None:
    """Seen red with the void job's number still among the choices."""
    order.jobs.filter(number=2).update(state="void", is_open=False)
    assert "Print 9 tags" in said(client.get("/orders/1001/tags"))
    gone = client.get("/orders/1001/tags?job=2&stock=62x29-300")
    assert gone.status_code == 422 and "This damper is not here any more." in said(gone)
    order.jobs.update(state="void", is_open=False)
    page = client.get("/orders/1001/tags")
    assert page.status_code == 200 and "there is nothing to tag" in said(page)
    assert "/tags/file" not in page.content.decode()
    assert client.get("/orders/1001/tags/file").status_code == 404
    assert "tags" not in re.findall(r"Print [^<]+", client.get("/orders/1001").content.decode())


def test_an_address_that_no_phone_finds_is_said(client: Client, order: WorkOrder) -> None:
    """Seen red without the warning, and with it always."""
    assert "No phone and no tablet finds this address." in said(client.get("/orders/1001/tags"))
    Shop.objects.update(public_address="https://dampers.example.com")
    page = said(client.get("/orders/1001/tags"))
    assert "HTTPS://DAMPERS.EXAMPLE.COM/D/" in page and "No phone" not in page


@pytest.mark.parametrize("text", drawn(list(HOSTILE.values()), 4), ids=lambda text: repr(text[:12]))
@pytest.mark.parametrize("field", ["stock", "job"])
def test_no_text_breaks_the_page_or_the_file(client: Client, order: WorkOrder, field: str, text: str) -> None:
    """Seen red with the stock looked up before the form was asked."""
    page = client.get("/orders/1001/tags", {field: text[:2000]})
    file = client.get("/orders/1001/tags/file", {field: text[:2000]})
    if "\0" in text:  # refused in every address, before any page
        assert (page.status_code, file.status_code) == (400, 400)
    else:
        assert page.status_code == 422 and "One entry to look at" in said(page)
        assert file.status_code == 404


def test_who_may_and_how(
    client: Client, client_as: As, order: WorkOrder, technician: Person, owner: Person
) -> None:
    """Seen red with the file open to everyone."""
    for path in ("/orders/1001/tags", "/orders/1001/tags/file"):
        assert client_as(owner).get(path).status_code == 200
        assert client_as(technician).get(path).status_code == 403
        assert client.post(path).status_code == 405
        assert client.get(path.replace("1001", "1002")).status_code == 404
        assert Client().get(path)["Location"].startswith("/sign-in")


def test_twice_is_the_same_and_writes_nothing(client: Client, order: WorkOrder) -> None:
    """Seen red with an act written for each print."""
    before = Act.objects.count()
    first, second = (pages(client.get("/orders/1001/tags/file")) for _time in range(2))
    assert first == second and Act.objects.count() == before


def test_twenty_dampers_take_as_many_queries_as_ten(client: Client, receive: Receive) -> None:
    """Seen red with the tags' page asking for each damper anew."""
    receive(*(f"A{n}" for n in range(10)))
    receive(*(f"B{n}" for n in range(20)))
    client.get("/orders/1001/tags")
    counted = []
    for number in (1001, 1002):
        with CaptureQueriesContext(connection) as asked:
            assert client.get(f"/orders/{number}/tags").status_code == 200
        counted.append(len(asked))
    assert counted[0] == counted[1]

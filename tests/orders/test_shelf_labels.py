"""The labels of shelves: their codes are read back, they say what the page that lays parts down reads.

Seen red: with the damper's letter in the address, with retired shelves among them.
"""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Callable
from typing import Any

import pypdf
import pytest
from django.test import Client

from shopapp.orders import labels, shelf_labels, shelves
from shopapp.orders import services as orders
from shopapp.orders.models import Shelf
from shopapp.people.models import Person
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Call
from tests.orders.test_labels import codes, pictures

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
PAGE = "/owner/shelves/labels"


@pytest.fixture
def some(owner: Person, now: dt.datetime) -> list[Shelf]:
    return [
        orders.add_shelf(code=code, rack="rack 2", shelf=code[-3:], by=owner, at=now, call=Call.fresh())
        for code in ("R2-4", "R2-5", "WASH-RACK1")
    ]


@pytest.mark.parametrize("name", labels.STOCKS)
def test_each_code_reads_back_as_its_shelf(name: str, some: list[Shelf], tmp_path: Any) -> None:
    stock = labels.STOCKS[name]
    shop = Shop(public_address="https://dampers.example.com")
    content = labels.pdf_of(shelf_labels.to_label(some, shop), stock)
    found = [code.text for picture in pictures(content, stock, tmp_path) for code in codes(picture)]
    assert found == [f"HTTPS://DAMPERS.EXAMPLE.COM/S/{row.code}" for row in some]
    assert [shelves.plain(text) for text in found] == [row.code for row in some]
    words = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages)
    assert "WASH-RACK1" in words and "rack 2" in words and "Order" not in words


def test_the_page_offers_what_is_used(
    some: list[Shelf], owner: Person, now: dt.datetime, client_as: As
) -> None:
    orders.change_shelf(
        shelf=some[0], revision=1, rack="r", name="s", retired=True, by=owner, at=now, call=Call.fresh()
    )
    client = client_as(owner)
    page = client.get(PAGE).content.decode()
    assert "Print 2 labels" in page and ">R2-4<" not in page
    assert "Print labels" in client.get("/owner/shelves/").content.decode()
    answer = client.get(f"{PAGE}/file?shelf=R2-5")
    assert answer["Content-Type"] == "application/pdf" and answer.content.startswith(b"%PDF")


@pytest.mark.parametrize("query", ["shelf=R2-9", "stock=x", "shelf=<script>alert(1)</script>"])
def test_what_is_not_there_is_a_sentence(query: str, some: list[Shelf], owner: Person, client_as: As) -> None:
    client = client_as(owner)
    answer = client.get(f"{PAGE}?{query}")
    assert answer.status_code == 422 and b"<script>alert" not in answer.content
    assert client.get(f"{PAGE}/file?{query}").status_code == 404


def test_rights_and_an_empty_shop(owner: Person, desk: Person, client_as: As) -> None:
    assert "add one first" in client_as(owner).get(PAGE).content.decode()
    assert client_as(owner).get(f"{PAGE}/file").status_code == 404
    assert client_as(desk).get(PAGE).status_code == 403
    assert client_as(owner).post(PAGE).status_code == 405

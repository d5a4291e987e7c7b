"""The receipt of what was taken in: what it says, frozen; the same paper while nothing changed; who may print it."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pikepdf
import pypdf
import pytest
from django.test import Client

from shopapp.calc import units
from shopapp.customers import services as customers
from shopapp.customers.services import MeterIn
from shopapp.dampers.services import tags
from shopapp.money import receipt_figures
from shopapp.money import services as money
from shopapp.orders import services as orders
from shopapp.orders.models import WorkOrder
from shopapp.papers import services as papers
from shopapp.papers import store
from shopapp.papers.handlers import papers_book
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop import ledgers
from shopapp.shop.forms import new_key
from shopapp.shop.models import Act, Shop
from shopapp.shop.services.acts import AlreadyDone, Call, Refused

from .rows import NOW, an_order, rate

pytestmark = pytest.mark.django_db
As = Callable[[Person], Client]
HOSTILE = "<script>alert(1)</script>&\"'" + "W" * 60


@pytest.fixture
def order(desk: Person, shop: Shop) -> WorkOrder:
    rate(desk)
    order = an_order(desk, limit="900.00")
    std: dict[str, Any] = {"by": desk, "at": NOW}
    terms = orders.issue_terms(text="1. Ask first.\n2. Fetch it.", since=NOW.date(), call=Call.fresh(), **std)
    vehicle = customers.add_vehicle(
        customer=order.customer, description="Buggy, 2 seats", plate="AB 12", call=Call.fresh(), **std
    )
    WorkOrder.objects.filter(pk=order.pk).update(
        complaint="Knocks over kerbs.", terms=terms, terms_accepted_how="signed at the counter", vehicle=vehicle,
        promised=NOW + dt.timedelta(days=6), leaves_by="parcel", leaves_carrier="Harbour Freight",
    )  # fmt: skip
    order.jobs.filter(number=1).update(place="front left", condition="oil at the wiper", under_warranty=False)
    order.refresh_from_db()
    return order


def printed(order: WorkOrder, by: Person, **other: Any) -> Paper:
    return money.issue_receipt(order=order, by=by, **{"at": NOW, "call": Call.fresh()} | other)


def text_of(paper: Paper) -> str:
    file = papers.render_paper(paper_id=paper.pk, at=NOW)
    pages = pypdf.PdfReader(io.BytesIO(store.get(file.place, file.sha256))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_it_says_what_was_taken_in_and_what_was_agreed(order: WorkOrder, desk: Person) -> None:
    """Seen red with the limit in the place of the expected price, and without the text of the terms."""
    figures = printed(order, desk).figures
    assert figures["block"] | {"vehicle": "Buggy, 2 seats · AB 12"} == figures["block"]
    assert (figures["block"]["received"], figures["block"]["by"]) == ("2 Mar 2026, 09:00", "Pia")
    first, second = figures["dampers"]
    assert (first["place"], first["condition"]) == ("front left", "oil at the wiper")
    assert (second["place"], second["condition"]) == ("loose", "nothing noted")
    assert first["tag"] == tags.show(order.jobs.get(number=1).damper.tag)
    agreed = dict(figures["agreed"])
    assert agreed["Expected, with tax"] == "$402.69"  # 2 × 186.00 and 8.25 %
    assert (agreed["Not past, with tax"], agreed["Promised"]) == ("$900.00", "8 Mar 2026, 09:00")
    assert agreed["Leaves by"] == "parcel, Harbour Freight"
    assert figures["terms"]["text"] == "1. Ask first.\n2. Fetch it."
    assert figures["terms"]["said"] == "Issue 1 of the terms was accepted: signed at the counter."


def test_the_paper_reads_so_too(order: WorkOrder, desk: Person) -> None:
    """Seen red with the complaint left out of the sheet."""
    paper = printed(order, desk)
    text = text_of(paper)
    for words in (
        "Receipt of dampers, order 1001", "Knocks over kerbs.", "oil at the wiper", "$402.69", "2. Fetch it.",
        "Taken in, Pia", "Handed in, Wyn Dallimore", "Buggy, 2 seats", papers.short_mark(paper.figures_hash),
        *(tags.show(job.damper.tag) for job in order.jobs.all()),
    ):  # fmt: skip
        assert words in text, words
    assert "REPRINT" not in text
    with pikepdf.open(io.BytesIO(store.get(paper.file.place, paper.file.sha256))) as pdf:
        assert (str(pdf.Root.Lang), bool(pdf.Root.MarkInfo.Marked)) == ("en", True)
        assert b"pdfuaid" in pdf.Root.Metadata.read_bytes()
        with pdf.open_metadata() as words:
            assert words["dc:title"] == "Receipt of dampers 1001 · Test Bench Works"


def test_twice_is_the_same_paper_while_nothing_changed(order: WorkOrder, desk: Person, owner: Person) -> None:
    """Whoever asks, whenever. Seen red with the moment of printing among the figures."""
    first = printed(order, desk)
    second = printed(order, owner, at=NOW + dt.timedelta(days=3))
    assert first.pk == second.pk and Paper.objects.filter(kind=receipt_figures.KIND).count() == 1
    assert Act.objects.filter(verb="issue_receipt").count() == 2


def test_what_changed_is_a_reprint_and_the_first_one_stays(order: WorkOrder, desk: Person) -> None:
    """Seen red with the last paper given whatever its figures."""
    first = printed(order, desk)
    orders.change_order(
        order=order, revision=order.revision, promised=order.promised, limit_gross=Decimal(500),
        complaint=order.complaint, why="asked", by=desk, at=NOW, call=Call.fresh(),
    )  # fmt: skip
    second = printed(order, desk)
    assert (first.number, second.number) == (1, 2)
    text = text_of(second)
    assert "REPRINT, receipt 2" in text and "$500.00" in text
    assert "$900.00" in text_of(Paper.objects.get(pk=first.pk))
    assert printed(order, desk).pk == second.pk


def test_the_same_press_twice_prints_once(order: WorkOrder, desk: Person) -> None:
    """Seen red with the act left out."""
    call = Call.fresh()
    printed(order, desk, call=call)
    with pytest.raises(AlreadyDone):
        printed(order, desk, call=call)


def test_the_meter_is_what_it_showed_at_the_counter(order: WorkOrder, desk: Person) -> None:
    """Seen red with the newest reading whatever its day."""
    assert order.vehicle is not None
    for text, days in (("3355 mi", 0), ("4100 mi", 30)):
        customers.read_meter(
            vehicle=order.vehicle, meter=MeterIn(units.parse(text, "distance")), source="read at the counter",
            by=desk, at=NOW + dt.timedelta(days=days), call=Call.fresh(),
        )  # fmt: skip
    assert printed(order, desk).figures["block"]["meter"] == "3355 mi, 2 Mar 2026"


def test_nothing_agreed_is_said_in_words(desk: Person, shop: Shop) -> None:
    """Seen red with the rows left empty. No rate is entered: the price says that tax is missing."""
    order = an_order(desk, jobs=1)
    figures = printed(order, desk).figures
    agreed = dict(figures["agreed"])
    assert agreed["Not past, with tax"] == "no limit was agreed"
    assert agreed["Promised"] == "no day was promised"
    assert agreed["Expected, with tax"] == "$186.00, tax of S not worked out yet"
    assert figures["terms"]["said"] == "No terms were accepted."
    assert figures["block"]["vehicle"] == "loose dampers"
    assert "No terms were accepted." in text_of(Paper.objects.get())


def test_a_void_damper_is_not_on_it_and_a_void_order_has_none(order: WorkOrder, desk: Person) -> None:
    """Seen red with every job of the order taken."""
    order.jobs.filter(number=2).update(state="void", is_open=False)
    assert [row["number"] for row in printed(order, desk).figures["dampers"]] == ["1"]
    order.jobs.update(state="void", is_open=False)
    with pytest.raises(Refused, match="Every job of this order is void"):
        printed(order, desk)


def test_it_speaks_the_customers_language(order: WorkOrder, desk: Person) -> None:
    """Seen red with the shop's language given to the paper."""
    order.customer.language = "de"
    order.customer.save()
    with pikepdf.open(io.BytesIO(_bytes(printed(order, desk)))) as pdf:
        assert str(pdf.Root.Lang) == "de"


def _bytes(paper: Paper) -> bytes:
    file = papers.render_paper(paper_id=paper.pk, at=NOW)
    return store.get(file.place, file.sha256)


def test_long_and_hostile_text_stays_text(order: WorkOrder, desk: Person) -> None:
    """Seen red with the complaint marked as safe."""
    WorkOrder.objects.filter(pk=order.pk).update(complaint=HOSTILE * 20)
    order.jobs.update(condition=HOSTILE)
    order.customer.name = HOSTILE
    order.customer.save()
    paper = printed(order, desk)
    assert text_of(paper).replace(" ", "").count("<script>alert(1)</script>") >= 22
    with pikepdf.open(io.BytesIO(_bytes(paper))) as pdf:
        assert "/OpenAction" not in pdf.Root and "/JavaScript" not in pdf.Root.get("/Names", {})


def test_the_book_of_papers_reads_it_back(order: WorkOrder, desk: Person) -> None:
    """Seen red with a paper whose figures were changed behind the triggers."""
    paper = printed(order, desk)
    text_of(paper)
    assert list(papers_book()) == []
    with ledgers.lifted():
        Paper.objects.update(figures=paper.figures | {"complaint": "Nothing."})
    assert [difference.row for difference in papers_book()] == [f"figures of paper {paper.pk}"]


def test_the_orders_page_prints_it(client_as: As, order: WorkOrder, desk: Person) -> None:
    """Seen red with the form left out of the page's tools."""
    client = client_as(desk)
    page = client.get("/orders/1001").content.decode()
    assert "Print the receipt" in page and 'action="/orders/1001/receipt"' in page
    asked = {"act_key": new_key()}
    first, second = (client.post("/orders/1001/receipt", asked) for _time in range(2))
    paper = Paper.objects.get(kind=receipt_figures.KIND)
    assert first["Location"] == second["Location"] == f"/papers/{paper.pk}"
    shown = client.get(first["Location"]).content.decode()
    assert "Receipt of dampers" in shown and "$402.69" in shown
    history = client.get("/orders/1001").content.decode()
    assert "receipt printed" in history and f"/papers/{paper.pk}" in history


def test_who_may_and_how(
    client_as: As, order: WorkOrder, desk: Person, technician: Person, owner: Person
) -> None:
    """Seen red with the right given to everyone."""
    assert client_as(technician).post("/orders/1001/receipt", {"act_key": new_key()}).status_code == 403
    assert client_as(desk).get("/orders/1001/receipt").status_code == 405
    assert Client().post("/orders/1001/receipt")["Location"].startswith("/sign-in")
    assert client_as(desk).post("/orders/1002/receipt", {"act_key": new_key()}).status_code == 404
    assert client_as(desk).post("/orders/1001/receipt", {"act_key": ""}).status_code == 422
    assert not Paper.objects.exists()
    assert client_as(owner).post("/orders/1001/receipt", {"act_key": new_key()}).status_code == 302
    order.jobs.update(state="void", is_open=False)
    assert "Print the receipt" not in client_as(desk).get("/orders/1001").content.decode()
    refused = client_as(desk).post("/orders/1001/receipt", {"act_key": new_key()})
    assert refused.status_code == 422 and "Every job of this order is void" in refused.content.decode()

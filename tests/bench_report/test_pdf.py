"""The report and the invoice as PDF: tagged, in their language, readable, with every reading where it belongs."""

from __future__ import annotations

import io
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pikepdf
import pypdf
import pytest
from weasyprint import HTML
from weasyprint.formatting_structure.boxes import TextBox
from weasyprint.text.fonts import FontConfiguration

from shopapp.money import services as money
from shopapp.papers import engine, services, store
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Call
from tests.money.rows import NOW, add_line, rate

from . import jobs

pytestmark = pytest.mark.django_db
HOSTILE = "<script>alert(1)</script>&\"'" + "W" * 60


def pdf_of(paper: Paper) -> bytes:
    file = services.render_paper(paper_id=paper.pk, at=paper.issued_at)
    return store.get(file.place, file.sha256)


def text_of(content: bytes) -> str:
    """Read the text of all pages, blanks run together."""
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages]
    return " ".join(" ".join(pages).split())


def elements(pdf: pikepdf.Pdf) -> Iterator[Any]:
    """Walk the structure tree."""
    waiting = [pdf.Root.StructTreeRoot.K]
    while waiting:
        node = waiting.pop()
        if isinstance(node, pikepdf.Array):
            waiting.extend(node)
        elif isinstance(node, pikepdf.Dictionary) and "/S" in node:
            yield node
            if "/K" in node:
                waiting.append(node.K)


def tags_of(content: bytes) -> dict[str, int]:
    """Count the elements by tag; every picture must have its words."""
    found: dict[str, int] = {}
    with pikepdf.open(io.BytesIO(content)) as pdf:
        for node in elements(pdf):
            name = str(node.S)
            found[name] = found.get(name, 0) + 1
            if name == "/Figure":
                assert str(node.get("/Alt", "")), "a picture without words"
    return found


@pytest.fixture
def german(shop: Shop, desk: Person, technician: Person) -> Paper:
    bay = jobs.Bay(jobs.a_job(desk, technician, language="de"), technician)
    bay.close("unrepaired", "declined")
    return jobs.report_of(bay.job, technician)


def test_the_report_is_tagged_and_reads_whole(finished: Paper, bay: jobs.Bay) -> None:
    content = pdf_of(finished)
    with pikepdf.open(io.BytesIO(content)) as pdf:
        assert (str(pdf.Root.Lang), bool(pdf.Root.MarkInfo.Marked)) == ("en", True)
        assert b"pdfuaid" in pdf.Root.Metadata.read_bytes()
        with pdf.open_metadata() as words:
            assert (
                words["dc:title"]
                == f"Rebuild report {bay.job.order.number}, front left · Saltmarsh Damper Works"
            )
        pages = len(pdf.pages)
    tags = tags_of(content)
    assert tags["/H1"] == 1 and tags["/H2"] >= 8 and tags["/Table"] >= 8
    assert tags["/TH"] > tags["/Table"] and tags["/Figure"] > 10
    text = text_of(content)
    for words in (
        *jobs.READ.values(),
        "KM25-118834",
        "2606-B",
        "88-041",
        "checked until 3 Mar 2027",
        "Nitrogen",
    ):
        assert words in text, words
    assert all(f"{page}/{pages}" in text for page in range(1, pages + 1))
    assert services.short_mark(finished.figures_hash) in text


def test_the_language_of_the_paper_is_the_customers(german: Paper) -> None:
    with pikepdf.open(io.BytesIO(pdf_of(german))) as pdf:
        assert str(pdf.Root.Lang) == "de"


def test_long_and_hostile_text_stays_text_on_the_sheet(shop: Shop, desk: Person, technician: Person) -> None:
    job = jobs.a_job(
        desk, technician, customer=HOSTILE, vehicle=HOSTILE, maker="Mäker<b>", serial="S" * 60,
        complaint=HOSTILE * 20, condition=HOSTILE, source=HOSTILE,
    )  # fmt: skip
    bay = jobs.Bay(job, technician)
    bay.read("settings-preload", "2 1/4", reason=HOSTILE)
    bay.write("note", words=HOSTILE * 10)
    bay.close("unrepaired", HOSTILE)
    paper = jobs.report_of(job, technician)
    content = pdf_of(paper)
    assert text_of(content).replace(" ", "").count("<script>alert(1)</script>") >= 30
    with pikepdf.open(io.BytesIO(content)) as pdf:
        assert "/OpenAction" not in pdf.Root and "/JavaScript" not in pdf.Root.get("/Names", {})
    assert tags_of(content)["/H1"] == 1
    assert outside_the_frame(services.render_html(paper)) == []


def outside_the_frame(html: str) -> list[str]:
    """Lay the paper out and name every text that reaches over the frame (20 to 196 mm from the left edge)."""
    page = HTML(string=html, base_url=engine.BASE, url_fetcher=engine.OwnAssets())
    millimetre = 96 / 25.4
    return [
        box.text
        for sheet in page.render(font_config=FontConfiguration()).pages
        for box in sheet._page_box.descendants()
        if isinstance(box, TextBox)
        and not 20 * millimetre <= box.position_x <= box.position_x + box.width <= 196.1 * millimetre
    ]


def test_the_invoice_is_an_archive_file_with_its_sums(bay: jobs.Bay, desk: Person) -> None:
    rate(desk)
    bay.close()
    order = bay.job.order
    add_line(order, bay.job, "1.12", "18.50")
    money.take_payment(order=order, amount=Decimal(50), how="cash", by=desk, at=NOW, call=Call.fresh())
    money.issue_invoice(order=order, by=desk, at=NOW, call=Call.fresh())
    content = pdf_of(Paper.objects.get(kind="invoice"))
    with pikepdf.open(io.BytesIO(content)) as pdf:
        words = pdf.Root.Metadata.read_bytes().decode()
        assert (str(pdf.Root.Lang), bool(pdf.Root.MarkInfo.Marked)) == ("en", True)
        assert ">3<" in words.split("pdfaid:part", 1)[1] or 'pdfaid:part="3"' in words
    tags = tags_of(content)
    assert (tags["/H1"], tags["/Table"]) == (1, 2)
    text = text_of(content)
    for said in (
        "Invoice I1001",
        "Cobble Hollow Racing",
        "4 Mill Lane",
        "$206.72",
        "$17.05",
        "$223.77",
        "$173.77",
    ):
        assert said in text, said
    assert "1/1" in text

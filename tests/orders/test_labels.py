"""The labels of what was taken in: their codes read back from the page, in whole dots, and no name runs over.

They are looked at as a label printer sees them: black or white, at its own dots an inch (Debian's pdftoppm).
"""

from __future__ import annotations

import io
import subprocess
from collections.abc import Callable
from typing import Any

import pikepdf
import pypdf
import pytest
import zxingcpp
from django.db import connection
from django.test.utils import CaptureQueriesContext
from PIL import Image
from weasyprint import HTML
from weasyprint.formatting_structure.boxes import TextBox

from shopapp import drawings
from shopapp.customers import services as customers
from shopapp.dampers import services as dampers
from shopapp.dampers.services import tags
from shopapp.orders import labels
from shopapp.orders.labels import STOCKS, Label, Stock
from shopapp.orders.models import Job, WorkOrder
from shopapp.papers import engine
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Call

Receive = Callable[..., WorkOrder]
ADDRESS = "HTTPS://DAMPERS.EXAMPLE.COM/D/40822171"
LONG = "W" * 60 + " Wide Wharf Damper Works of the Northern Harbour"
HOSTILE = "<script>alert(1)</script>&\"'<img src=file:///etc/passwd>"
POINTS_A_MM = 72 / 25.4
PIXELS_A_MM = 96 / 25.4


def label(**other: str) -> Label:
    given = {
        "part": "SPRINGS", "tag": "4082 217-1", "order": "1187/2", "place": "front left", "vehicle": "Buggy, 2 seats",
        "shelf": "R2-4", "address": ADDRESS,
    }  # fmt: skip
    return Label(**given | other)


def three(**other: str) -> list[Label]:
    return [label(part=str(words), **other) for _part, words in labels.PARTS]


def pdf(rows: list[Label], stock: Stock) -> bytes:
    return labels.pdf_of(rows, stock, order=WorkOrder(number=1187))


def pictures(content: bytes, stock: Stock, folder: Any) -> list[Image.Image]:
    """Set the pages in the dots of the printer, each black or white."""
    (folder / "tags.pdf").write_bytes(content)
    subprocess.run(
        ["pdftoppm", "-r", str(stock.dpi), "-mono", "tags.pdf", "page"], cwd=folder, check=True, timeout=60
    )
    return [Image.open(path).convert("L") for path in sorted(folder.glob("page*.pbm"))]


def codes(picture: Image.Image) -> list[Any]:
    """Read the codes of a page, from the top."""
    return sorted(zxingcpp.read_barcodes(picture), key=lambda code: code.position.top_left.y)


@pytest.mark.parametrize("name", STOCKS)
def test_each_code_reads_back_and_its_modules_are_whole_dots(name: str, tmp_path: Any) -> None:
    """Seen red with modules of half a dot more, a strip that starts between two dots, no inset, a margin."""
    stock = STOCKS[name]
    drawn = drawings.qr_code(ADDRESS, most=stock.most, dpi=stock.dpi, label="")
    assert drawn.dots >= 5, "smaller than a phone reads at arm's length"
    for picture in pictures(pdf(three(), stock), stock, tmp_path):
        found = codes(picture)
        assert [code.text for code in found] == [ADDRESS] * stock.a_page
        for code, place in zip(found, labels.placed(three(), stock)[0], strict=True):
            corner = code.position.top_left
            wanted = [
                dots_of(start, stock) + drawings.QUIET * drawn.dots for start in (place.left, place.top)
            ]
            assert [corner.x, corner.y] == pytest.approx(wanted, abs=2)
            area = dark_square(picture, corner.x, corner.y, drawn.modules * drawn.dots)
            assert unlike_modules(area, drawn.dots) == 0


def dots_of(css: str, stock: Stock) -> int:
    return round(float(css.removesuffix("mm")) * stock.dpi / 25.4)


def dark_square(picture: Image.Image, x: int, y: int, side: int) -> Image.Image:
    """Cut a code out, from the first dark dot of its corner: its place as read may be one dot off."""
    near = picture.crop((x - 3, y - 3, x + 6, y + 6))
    dark = near.point(lambda dot: 255 - dot).getbbox()
    assert dark is not None
    left, top = x - 3 + dark[0], y - 3 + dark[1]
    return picture.crop((left, top, left + side, top + side))


def unlike_modules(area: Image.Image, dots: int) -> int:
    """Count the modules whose dots are not all black or all white."""
    wide = area.size[0] // dots
    boxes = [(x * dots, y * dots, (x + 1) * dots, (y + 1) * dots) for x in range(wide) for y in range(wide)]
    return sum(len(area.crop(box).getcolors() or []) != 1 for box in boxes)


@pytest.mark.parametrize("name", STOCKS)
def test_the_pages_are_the_labels_and_nothing_else(name: str) -> None:
    """Seen red with a height of 30 mm."""
    stock = STOCKS[name]
    pages = pypdf.PdfReader(io.BytesIO(pdf(three() * 4, stock))).pages
    assert len(pages) == 12 // stock.a_page
    for page in pages:
        size = [float(side) / POINTS_A_MM for side in page.mediabox[2:]]
        assert size == pytest.approx([stock.width, stock.height], abs=0.005)
    assert [part for part in ("BODY", "SPRINGS", "TRAY") if part in pages[0].extract_text()] == (
        ["BODY", "SPRINGS", "TRAY"] if stock.a_page == 3 else ["BODY"]
    )


def texts(box: Any) -> list[Any]:
    found = [box] if isinstance(box, TextBox) else []
    for child in getattr(box, "children", ()):
        found += texts(child)
    return found


@pytest.mark.parametrize("name", ["62x29-300", "102x152-203"])
@pytest.mark.parametrize("words", [LONG, HOSTILE, "word " * 60, "Gabelholm vorn rechts außen"])
def test_no_name_runs_over_the_label(name: str, words: str, monkeypatch: Any) -> None:
    """A millimetre at the edge stays free. Seen red with a higher row for the vehicle, and with rows that wrap."""
    stock = STOCKS[name]
    asked: list[str] = []
    monkeypatch.setattr(engine, "to_pdf", lambda html, variant: asked.append(html) or b"")
    pdf(three(place=words, vehicle=words, shelf=words, order="999999/12"), stock)
    pages = HTML(string=asked[0], base_url=engine.BASE, url_fetcher=engine.OwnAssets()).render().pages
    assert len(pages) == 3 // stock.a_page
    boxes = texts(pages[0]._page_box)
    height = stock.height / stock.a_page * PIXELS_A_MM
    for box in boxes:
        in_strip = box.position_y % height
        assert in_strip + box.height <= height - PIXELS_A_MM, box.text
    shelves = [box for box in boxes if box.text.startswith("Shelf")]
    assert len(shelves) == stock.a_page, "the engine drops what does not fit on a page"
    whole = [box for box in boxes if box.text in ("BODY", "4082 217-1", "Order 999999/12")]
    assert len(whole) == 1 + 2 * stock.a_page
    assert all(box.position_x + box.width <= stock.width * PIXELS_A_MM for box in whole)
    assert "<script" not in asked[0] and "<img" not in asked[0]


def test_a_long_address_still_makes_a_code(tmp_path: Any) -> None:
    """Two hundred characters are what the shop's row may hold. Seen red with 6 mm for the code."""
    stock = STOCKS["62x29-203"]
    address = f"HTTPS://{'A' * 60}.{'B' * 60}.EXAMPLE.COM/shop/{'c' * 50}/D/40822171"
    assert len(address) > 195
    picture = pictures(pdf([label(address=address)], stock), stock, tmp_path)[0]
    assert [code.text for code in codes(picture)] == [address]


def test_the_pdf_is_tagged_and_names_its_codes() -> None:
    """Seen red with the code's label left out."""
    with pikepdf.open(io.BytesIO(pdf(three(), STOCKS["102x152-203"]))) as read:
        assert (str(read.Root.Lang), bool(read.Root.MarkInfo.Marked)) == ("en", True)
        assert b"pdfuaid" in read.Root.Metadata.read_bytes()
        spoken = [str(node.Alt) for node in nodes(read.Root.StructTreeRoot.K) if node.get("/Alt")]
    assert spoken == ["Code of tag 4082 217-1"] * 3


def nodes(node: Any) -> list[Any]:
    if isinstance(node, pikepdf.Array):
        return [found for one in node for found in nodes(one)]
    if isinstance(node, pikepdf.Dictionary) and "/S" in node:
        return [node, *(nodes(node.K) if "/K" in node else [])]
    return []


@pytest.mark.parametrize(
    ("public", "code"),
    [
        ("https://dampers.example.com", "HTTPS://DAMPERS.EXAMPLE.COM/D/40822171"),
        ("https://dampers.example.com/", "HTTPS://DAMPERS.EXAMPLE.COM/D/40822171"),
        ("http://10.0.0.7:8000", "HTTP://10.0.0.7:8000/D/40822171"),
        ("https://example.com/Shop/", "HTTPS://EXAMPLE.COM/Shop/D/40822171"),
        ("https://dämpfer.example.com", "HTTPS://XN--DMPFER-BUA.EXAMPLE.COM/D/40822171"),
        ("", "HTTP://LOCALHOST:8000/D/40822171"),
    ],
)
def test_the_code_is_a_short_address_in_capitals(public: str, code: str, settings: Any) -> None:
    """A path is not ours to spell otherwise. Seen red with the whole address in capitals."""
    settings.PUBLIC_ADDRESS = "http://localhost:8000"
    found = labels.code_address("40822171", Shop(public_address=public))
    assert found == code
    assert tags.plain(found) == "40822171", "what is scanned into a field reads as the tag"


@pytest.mark.django_db
def test_a_label_says_what_and_whose_place_and_no_name(receive: Receive, std: dict[str, Any]) -> None:
    """Seen red with the customer's name in the vehicle's row."""
    order = receive("KM25-1", "KM25-2")
    vehicle = customers.add_vehicle(
        customer=order.customer, description="Buggy, 2 seats", plate="AB 12", call=Call.fresh(), **std
    )
    order.vehicle = vehicle
    order.save()
    job = order.jobs.get(number=1)
    dampers.fit_damper(
        damper=job.damper, vehicle=vehicle, place="other", place_words="behind the cab", number=1, on=None,
        call=Call.fresh(), **std,
    )  # fmt: skip
    order.jobs.filter(number=1).update(place="other", shelf_springs="S7")
    order.jobs.filter(number=2).update(place="rear left", place_number=2)
    rows = labels.labels_of(order, list(order.jobs.order_by("number")), None)
    assert [row.part for row in rows] == ["BODY", "SPRINGS", "TRAY"] * 2
    assert [row.place for row in rows[::3]] == ["behind the cab", "rear left 2"]
    assert [row.shelf for row in rows] == ["", "S7", "", "", "", ""]
    assert {row.order for row in rows} == {"1001/1", "1001/2"}
    assert rows[0].tag == tags.show(job.damper.tag) and rows[0].address.endswith(f"/D/{job.damper.tag}")
    said = " ".join(str(row) for row in rows)
    assert "Buggy, 2 seats" in said and "Dallimore" not in said and "AB 12" not in said


@pytest.mark.django_db
def test_what_left_the_shop_gets_no_label(receive: Receive) -> None:
    """Seen red with every job of the order taken."""
    order = receive("KM25-1", "KM25-2")
    order.jobs.filter(number=2).update(state="void", is_open=False)
    assert [job.number for job in labels.to_label(order.jobs.order_by("number"))] == [1]


@pytest.mark.django_db
def test_many_labels_take_as_many_queries_as_few(receive: Receive) -> None:
    """Seen red with the place's words looked up for each damper."""
    orders = [receive(*(f"{start}{n}" for n in range(count))) for start, count in (("A", 10), ("B", 20))]
    Job.objects.update(place="other")
    counted = []
    for order in orders:
        jobs = list(order.jobs.select_related("damper").order_by("number"))
        with CaptureQueriesContext(connection) as asked:
            assert len(labels.labels_of(order, jobs, None)) == 3 * len(jobs)
        counted.append(len(asked))
    assert counted[0] == counted[1]

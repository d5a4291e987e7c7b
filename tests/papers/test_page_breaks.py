"""What a page ends and begins with: no row of a table stands alone on a sheet, no tag and no name is broken unsaid.

Seen red without the rule for last rows in paper.css, with `text-overflow: ellipsis` left to the large label's vehicle,
and with an ordinary blank in the tag of an invoice's line.
"""

from __future__ import annotations

import io
import re

import pypdf
import pytest

from shopapp.dampers.services import tags
from shopapp.money.services import issue_invoice
from shopapp.orders.labels import STOCKS, Label, pdf_of
from shopapp.papers import engine
from shopapp.papers.engine import BASE
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from tests.money.rows import NOW, an_order, done, rate

pytestmark = pytest.mark.django_db

HEAD = f'<link rel="stylesheet" href="{BASE}css/paper.css">'


def pages_of(pdf: bytes) -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]


def a_table(rows: int) -> list[str]:
    """Set a table as tall as so many rows; give the words of each page."""
    body = "".join(f'<tr><th scope="row">row {n}</th><td>done</td></tr>' for n in range(1, rows + 1))
    page = (
        f'<!doctype html><html lang="en"><head><title>Log</title>{HEAD}</head><body><h1>Log</h1>'
        f'<table><thead><tr><th scope="col">Step</th><th scope="col">Recorded</th></tr></thead>'
        f"<tbody>{body}</tbody></table></body></html>"
    )
    return pages_of(engine.to_pdf(page, variant="pdf/ua-1"))


def rows_on(words: str) -> list[int]:
    return [int(number) for number in re.findall(r"row (\d+)", words)]


def test_the_last_row_of_a_table_takes_two_more_with_it() -> None:
    fit = len(rows_on(a_table(200)[0]))
    assert fit > 20
    for over in (1, 2):
        first, last = map(rows_on, a_table(fit + over))
        assert last == [fit + over - 2, fit + over - 1, fit + over] and first[-1] == last[0] - 1


@pytest.mark.parametrize("code", [code for code in STOCKS if code.startswith("102")])
def test_a_large_label_says_that_a_long_vehicle_goes_on(code: str) -> None:
    """It has two lines of whole words; the small one cuts its one line where the label ends, and draws the dots."""
    vehicle = "Six-wheeled expedition truck with the long wheelbase and the raised roof, third of four"
    label = Label(
        "body", "8935 099-4", "1013/1", "front left", vehicle, "R2-B", "HTTP://LOCALHOST/D/89350994"
    )
    (page,) = pages_of(pdf_of([label], STOCKS[code]))
    words = " ".join(page.split())
    assert "Six-wheeled" in words and "…" in words and "third of four" not in words and "R2-B" in words


def test_the_tag_in_an_invoices_line_holds_together(desk: Person) -> None:
    rate(desk)
    order = an_order(desk, jobs=1)
    done(order)
    issue_invoice(order=order, by=desk, at=NOW, call=Call.fresh())
    (line,) = Paper.objects.get(kind="invoice").figures["lines"]
    assert line["about"].endswith(tags.show(order.jobs.get().damper.tag).replace(" ", "\u00a0"))

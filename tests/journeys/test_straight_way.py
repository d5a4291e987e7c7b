"""The straight way in a real browser: a damper from the counter to two papers, read back out of the PDFs.

What is typed at the bench is a technician's own sheet of readings (tests/bench/make.py READINGS); every one of them
must stand in the rebuild report as it was typed, and every line and sum of the order's page on the invoice.
"""

from __future__ import annotations

import datetime as dt
import io
import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from shopapp.bench.models import Entry
from shopapp.calc import units
from shopapp.due.models import Due
from shopapp.money import services as money
from shopapp.orders import services as orders
from shopapp.orders.models import Job
from shopapp.papers.models import PaperFile
from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.services import outbox
from shopapp.shop.services.acts import Call
from shopapp.specs import figures
from tests.bench.make import READINGS, Bench
from tests.bench_client.conftest import browser  # noqa: F401
from tests.journeys.at_the_tablet import fill_sheet
from tests.journeys.bench_client.conftest import bench, page  # noqa: F401

pytestmark = pytest.mark.journey

SERIAL = "118901"
ENTER = "Enter"


@pytest.fixture
def priced(bench: Bench) -> Bench:  # noqa: F811
    """Add what the desk needs beside the bench: a tax rate and terms."""
    std: dict[str, Any] = {"by": bench.owner, "at": bench.at}
    money.add_tax_rate(
        category="S", name="Sales tax", rate=Decimal("7.25"), since=bench.at.date(), call=Call.fresh(), **std
    )
    orders.issue_terms(text="We ask before we do more.", since=bench.at.date(), call=Call.fresh(), **std)
    return bench


@pytest.fixture
def as_person(browser: Browser, live_server: Any, client_as: Any) -> Iterator[Any]:  # noqa: F811
    """Give a function that opens a browser of their own for somebody."""
    pages: list[Page] = []

    def make(person: Person, width: int, height: int) -> Page:
        context = browser.new_context(viewport={"width": width, "height": height}, base_url=live_server.url)
        for name, cookie in client_as(person).cookies.items():
            context.add_cookies([{"name": name, "value": cookie.value, "url": live_server.url}])
        pages.append(context.new_page())
        return pages[-1]

    yield make
    for made in pages:
        made.wait_for_load_state("networkidle")
        made.context.close()


def _receive(desk: Page) -> int:
    """Take in one damper, typed as the front desk types; give the order's number."""
    desk.goto("/orders/new")
    desk.locator("[name=new_name]").fill("Sella Varn")
    desk.locator("[name=new_phone]").fill("555-0170")
    desk.locator("[name=vehicle_description]").fill("Two-seat buggy")
    desk.locator("[name=meter]").fill("1,204 mi")
    desk.locator("[name=complaint]").fill("Bottoms out on the whoops.")
    desk.locator("[name=r1_place]").select_option("front left")
    desk.locator("[name=r1_tag]").fill(SERIAL)
    desk.locator("[name=r1_model]").select_option(label="Keldmark K25")
    desk.locator("[name=r1_work]").select_option(label="Rebuild")
    desk.locator("[name=limit_gross]").fill("450.00")
    desk.locator("[name=promised_day]").fill(f"{dt.datetime.now(dt.UTC) + dt.timedelta(days=3):%Y-%m-%d}")
    desk.locator("[name=terms_accepted]").check()
    desk.locator("[name=terms_how]").fill("signed at the counter")
    desk.get_by_role("button", name="Receive").click()
    desk.wait_for_url(re.compile(r"/orders/\d+$"))
    expect(desk.locator("body")).to_contain_text(SERIAL)
    return int(desk.url.rsplit("/", 1)[1])


def _pdf(desk: Page, number: int, kind: str) -> str:
    """Let the outbox make the paper, open it from the order's page, give the PDF's text with blanks folded."""
    outbox.sweep(at=dt.datetime.now(dt.UTC))
    desk.goto(f"/orders/{number}")
    link = desk.get_by_role("link", name=re.compile(f"^{kind}", re.I)).first.get_attribute("href")
    answer = desk.request.get(f"{link}/file")
    assert answer.status == 200
    return " ".join(
        " ".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(answer.body())).pages).split()
    )


def _sums(desk: Page) -> dict[str, str]:
    """Read the sums off the order's page."""
    rows = desk.locator("section.part", has_text="Sums").locator("dl.lines > div")
    return {row.locator("dt").inner_text(): row.locator("dd").inner_text().lstrip("$") for row in rows.all()}


def _submit(page: Page, words: str) -> None:  # noqa: F811
    page.get_by_role("button", name=words, exact=True).click()
    page.wait_for_load_state("load")


def test_from_the_counter_to_two_papers(priced: Bench, as_person: Any) -> None:
    desk = as_person(priced.desk, 1280, 900)
    number = _receive(desk)
    job = Job.objects.get(order__number=number)
    tablet = as_person(priced.technician, 1280, 800)
    priced.job = job
    fill_sheet(tablet, priced)
    job.refresh_from_db()
    assert (job.state, job.outcome) == ("done", "done")

    report = _pdf(desk, number, "rebuild report")
    _report_says_what_was_typed(report, priced, number)

    desk.goto(f"/orders/{number}?open=invoice")
    before = _sums(desk)
    _submit(desk, "Issue the invoice")
    invoice = _pdf(desk, number, "invoice")
    for words in (
        "Rebuild",
        "Seal kit K25",
        "Damper oil 5",
        "Sella Varn",
        before["Net"],
        before["Tax"],
        before["In all"],
    ):
        assert words in invoice, words
    assert Decimal(before["Net"]) == Decimal("186.00") + Decimal("64.50") + Decimal(
        "15.14"
    )  # 0.473 L at 32.00

    desk.goto(f"/orders/{number}?open=payment")
    desk.locator("form[action$='/payment'] [name=amount]").fill(_sums(desk)["Owed"])
    desk.locator("form[action$='/payment'] [name=how]").select_option("card")
    _submit(desk, "Take the payment")
    desk.goto(f"/orders/{number}?open=hand-over")
    assert Decimal(_sums(desk)["Owed"]) == 0
    desk.locator("form[action$='/hand-over'] [name=to_whom]").fill("Sella Varn")
    _submit(desk, "Hand over the dampers")
    desk.goto(f"/orders/{number}")
    expect(desk.locator("body")).to_contain_text("to Sella Varn")
    due = Due.objects.get(damper=job.damper)
    assert due.because == "months" and due.on is not None
    assert (due.on.year - due.serviced_on.year) * 12 + due.on.month - due.serviced_on.month == 24
    assert PaperFile.objects.count() == 2
    assert books.differences() == []


def _report_says_what_was_typed(report: str, shop_bench: Bench, number: int) -> None:
    """Compare the report with the technician's sheet: every reading, the tag, the lots, the tools, the initials."""
    job = shop_bench.job
    tag = f"{job.damper.tag[:4]} {job.damper.tag[4:7]}-{job.damper.tag[7]}"
    for words in (
        tag.replace(" ", " "),
        str(number),
        SERIAL,
        "front left",
        "B-wiper",
        "B-ring",
        "B-oil",
        "G-04",
        "D-01",
        "MO",
    ):
        assert words in report.replace("  ", " "), words
    typed = list(Entry.objects.filter(job=job, kind="reading").select_related("step"))
    codes = {entry.step.code for entry in typed if entry.step}
    assert codes == {code for code in READINGS if code != "strip-oil-amount"}
    rows: dict[str, dict[str, str]] = {}
    for entry in typed:
        column = "built" if entry.phase == "built" else "found"
        rows.setdefault(_label(entry), {})[column] = _as_typed(entry)
    assert len(rows) > 9
    for label, columns in rows.items():
        parts = [
            re.escape(label),
            *(re.escape(columns[name]) for name in ("found", "built") if name in columns),
        ]
        assert re.search(r"\b.{0,90}?".join(parts), report), (label, columns)


def _label(entry: Entry) -> str:
    """Name a reading's row as the report does: the figure's label, or the adjuster's own name."""
    if entry.name == "adjuster":
        return entry.position
    label = str(figures.NAMES[entry.name].label)
    return f"{label}, {entry.position}" if entry.position else label


def _as_typed(entry: Entry) -> str:
    """Give what the technician typed with its unit as the report shows it: `2 3/16 in`, `11 clicks`."""
    assert entry.step is not None
    figure = re.match(r"[\d /.]+", READINGS[entry.step.code])
    assert figure is not None
    text, unit = figure.group(0).strip(), units.UNITS_BY_KIND[entry.value_kind][entry.value_unit]
    return f"{text} {units.label_after(text, unit)}"

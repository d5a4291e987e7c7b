"""Shim stacks on the report: both sides, out beside back, drawn and as tables; or kept by the shop."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.template.loader import render_to_string

from shopapp.bench import report
from shopapp.bench.models import Entry
from shopapp.bench.queries.stacks import shim_rows
from shopapp.calc import stacks
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.models import Shop

from . import jobs
from .test_pdf import pdf_of, text_of

pytestmark = pytest.mark.django_db
OUT = "3 x 44x0.20, 36x0.10 c, 40x0.20"
BACK = "2 x 44x0.20, 36x0.10 c, 40x0.25"


def lay(bay: jobs.Bay, code: str, text: str, **more: Any) -> Entry:
    """Write a stack as it is recorded."""
    stack = stacks.read(text)
    height = sum(shim.thickness.si for shim in stack)
    return bay.write(
        "reading", code, value_kind="length", value_si=height, value_unit="mm", words=text,
        value_text=f"{len(stack)} shims, {height * 1e3:.2f} mm",
        payload={"shims": shim_rows(stack), **more.pop("payload", {})}, **more,
    )  # fmt: skip


@pytest.fixture
def laid(bay: jobs.Bay, technician: Person) -> jobs.Bay:
    """Give a whole job whose compression stack was changed, the rebound stack only read as built."""
    bay.whole()
    lay(bay, "strip-compression-stack", OUT)
    lay(bay, "rod-compression-stack", BACK, reason="softer, as agreed")
    lay(
        bay,
        "rod-rebound-stack",
        "38x0.25, 34x0.20",
        outside="advisory",
        payload={"problems": ["An odd order."]},
    )
    bay.close()
    return bay


@pytest.fixture
def paper(laid: jobs.Bay, technician: Person) -> Paper:
    return jobs.report_of(laid.job, technician)


def test_both_sides_stand_with_what_differs_and_why(paper: Paper) -> None:
    one, other = paper.figures["stacks"]["sides"]
    assert one["heading"] == "Compression: 2 unlike what was taken out"
    assert one["differences"] == [
        "Place 3 as taken out: 44 × 0.20 left out", "Place 4: 40 × 0.25 in place of 40 × 0.20",
    ]  # fmt: skip
    assert one["why"] == "softer, as agreed"
    assert [(row["out_place"], row["back_place"], row["words"]) for row in one["rows"]] == [
        (1, 1, "alike"), (2, 2, "alike"), (3, None, "left out"), (4, 3, "alike"), (5, 4, "changed"),
    ]  # fmt: skip
    assert (other["heading"], other["compared"], other["odd"]) == (
        "Rebound, as built",
        False,
        "An odd order.",
    )
    assert [row["back"]["text"] for row in other["rows"]] == ["38 × 0.25", "34 × 0.20"]


def test_stacks_stand_in_no_row_of_readings_and_whole_in_the_record(paper: Paper) -> None:
    assert not [row for row in paper.figures["readings"] if "stack" in row["figure"]]
    said = [row["said"] for row in paper.figures["log"]]
    assert "3 x 44x0.20, 36x0.10 c, 40x0.20" in said
    [remark] = [row for row in paper.figures["remarks"] if "tack" in row["name"]]
    assert remark["what"] == "38x0.25, 34x0.20: An odd order."


def test_the_drawings_and_the_tables_say_the_same(paper: Paper) -> None:
    drawn = report.draw(paper.figures)
    html = render_to_string("papers/_stacks.html", {"figures": paper.figures, "drawn": drawn})
    assert html.count("<svg") == 2
    assert "<title>Compression: 2 unlike what was taken out</title>" in html
    for text in ("44 × 0.20", "40 × 0.25", "40 × 0.20", "38 × 0.25", "left out"):
        assert text in drawn["stacks"][0]["svg"] + drawn["stacks"][1]["svg"]
        assert html.count(f">{text}<") >= 2
    assert '<th scope="row">' in html
    assert "Reason: softer, as agreed" in html


def test_the_paper_prints_them(paper: Paper) -> None:
    text = text_of(pdf_of(paper))
    assert "Shim stacks" in text
    assert "Place 4: 40 × 0.25 in place of 40 × 0.20." in text


def test_what_the_shop_keeps_stands_nowhere_on_the_paper(laid: jobs.Bay, technician: Person) -> None:
    Shop.objects.update(keep_stacks_back=True)
    before = list(Entry.objects.filter(name__contains="stack").order_by("pk").values())
    paper = jobs.report_of(laid.job, technician)
    whole = json.dumps(paper.figures, ensure_ascii=False)
    for part in ("44x0.20", "44 × 0.20", "38x0.25", "softer", "An odd order", "shims, 0.90", "1.00 mm"):
        assert part not in whole
    assert paper.figures["stacks"] == {
        "kept": "The shim stacks were measured. The shop keeps them in its own record.", "sides": [],
    }  # fmt: skip
    assert "The shop keeps them in its own record." in text_of(pdf_of(paper))
    assert list(Entry.objects.filter(name__contains="stack").order_by("pk").values()) == before


def test_a_report_without_stacks_says_nothing_of_them(finished: Paper) -> None:
    assert finished.figures["stacks"] is None
    assert "Shim stacks" not in text_of(pdf_of(finished))


def test_alike_is_said_in_the_heading(bay: jobs.Bay, technician: Person) -> None:
    bay.whole()
    lay(bay, "strip-rebound-stack", "1.5x0.008 in")
    lay(bay, "rod-rebound-stack", "38.1x0.2032")
    bay.close()
    [side] = jobs.report_of(bay.job, technician).figures["stacks"]["sides"]
    assert (side["heading"], side["why"]) == ("Rebound: every shim as taken out", "")

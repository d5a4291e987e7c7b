"""Findings on the report: grade, decision, price agreed; the statement where the damper is unsafe to use."""

from __future__ import annotations

import re

import pytest

from shopapp.bench import report, report_figures, report_record, report_section
from shopapp.papers import services as papers
from shopapp.papers.models import Paper
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.bench.test_findings import LAST, agree, find

pytestmark = pytest.mark.django_db


def html_of(found: Bench) -> str:
    """Give the report that closing issued, as it is rendered, tags taken out."""
    paper = Paper.objects.get(kind=report.KIND, subject_id=str(found.job.pk))
    return re.sub(
        r"\s+", " ", re.sub(r"<style.*?</style>|<[^>]+>", " ", papers.render_html(paper), flags=re.DOTALL)
    )


def test_a_declined_unsafe_finding_prints_its_statement(bench: Bench) -> None:  # noqa: F811
    """Seen red with `unsafe` left out of the template, and with the agreed price printed for a no."""
    bench.through("ifp-proof-rod")
    agree(bench, find(bench, text="0.15 mm"), yes=False, amount=None)
    bench.do("", "close", outcome="uncharged", words="declined")
    text = html_of(bench)
    for words in (
        "UNSAFE TO USE",
        "Finding 1, rod: pitted. Declined: W. Dallimore, by phone, 2 Mar 2026.",
        "The shop did not charge this damper",
        "I take this damper back unsafe to use",
        "rod: pitted, 0.15 mm",
        "unsafe to use",
    ):
        assert words in text, words
    assert "145" not in text


def test_a_finding_that_was_agreed_and_put_right_says_so_with_its_price(bench: Bench) -> None:  # noqa: F811
    bench.through("ifp-proof-rod")
    row = agree(bench, find(bench))
    bench.do("", "put right", about=row.entry_id, words="new rod, straight to 0.02 mm")
    bench.through(LAST)
    bench.do("", "close", outcome="done")
    text = html_of(bench)
    assert "agreed: W. Dallimore, by phone" in text
    assert "$145.00 without tax" in text
    assert "put right: new rod, straight to 0.02 mm" in text
    assert "UNSAFE TO USE" not in text
    assert "I take this damper back" not in text


def test_the_drawing_on_the_report_is_numbered_and_read_out(bench: Bench) -> None:  # noqa: F811
    find(bench)
    figures = report_figures.figures(report_record.read(bench.job.pk), bench.at)
    sizes = {"stroke": 254.0, "body_bore": 60.0, "reservoir_length": 203.0}
    lengths = {name: {"mm": mm, "text": f"{mm} mm"} for name, mm in sizes.items()}
    section = report_section.draw(figures | {"section": lengths})["section"]
    assert 'data-finding="1"' in section
    assert "Finding 1: rod: pitted" in section


def test_a_report_without_findings_has_no_such_table(bench: Bench) -> None:  # noqa: F811
    bench.do("", "close", outcome="unrepaired", words="declined")
    text = html_of(bench)
    assert "Part and condition" not in text
    assert "UNSAFE" not in text


def test_hostile_words_are_words_on_paper(bench: Bench) -> None:  # noqa: F811
    hostile = "<script>alert(1)</script>"
    find(bench, words=hostile, part="other", part_words="<img src=x>")
    bench.do("", "close", outcome="unrepaired", words="declined")
    html = papers.render_html(Paper.objects.get(kind=report.KIND))
    assert "<script" not in html
    assert "<img src=x" not in html


def test_a_paper_that_was_frozen_before_there_were_findings_is_still_drawn() -> None:
    assert report_section.draw({"section": None, "readings": []}) == {"section": "", "readings": []}

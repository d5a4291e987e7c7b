"""The tag of a job that has ended: each end in its own words, one page whatever the names, DO NOT OPEN before all."""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdf
import pytest
from django.test import Client
from django.urls import reverse
from weasyprint import HTML
from weasyprint.formatting_structure.boxes import BlockLevelBox, Box, TableCellBox, TextBox

from shopapp.bench import tag
from shopapp.bench.models import Entry
from shopapp.orders.models import Job
from shopapp.papers import engine, services
from shopapp.papers.models import Paper
from shopapp.people.models import Person
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from tests.bench.make import Bench

pytestmark = pytest.mark.django_db
LONG = "W" * 60 + " " + "Wide Wharf Damper Works of the Northern Harbour " * 3
PIXELS_A_MM = 96 / 25.4


def end(bench: Bench, outcome: str) -> None:
    """End the job as one does."""
    if outcome == "stopped":
        bench.unlock("spring off")
        bench.do("release-temperature", "reading", text="21 °C")
        bench.do("release-found", "reading", text="132 psi", tool="G-04")
        bench.do("release-zero", "proof", answer="does not move")
        return
    if outcome == "unsafe":
        bench.do("", "close", outcome="unsafe", words="the valve core will not turn")
        bench.do("", "release", by=bench.owner, words="Made safe by a gas fitter: drilled behind a screen")
    if outcome == "uncharged":
        bench.unlock("strip")
    if outcome == "done":
        bench.through(bench.steps[-1].step.code)
    bench.do("", "close", outcome=outcome, words="the rod is not to be had")


def printed(bench: Bench) -> Paper:
    return tag.print_tag(job=bench.fresh(), by=bench.technician, at=bench.at, call=Call.fresh())


def words_of(paper: Paper) -> str:
    content = engine.to_pdf(services.render_html(paper), variant="pdf/ua-1")
    if folder := os.environ.get("SHOP_TEST_PICTURES"):
        (Path(folder) / f"tag-{paper.figures['title'].replace(' ', '-')}-{paper.number}.pdf").write_bytes(
            content
        )
    pages = pypdf.PdfReader(io.BytesIO(content)).pages
    assert len(pages) == 1
    width, height = (round(float(side) / 72 * 25.4) for side in pages[0].mediabox[2:])
    assert (width, height) == (102, 152)
    return " ".join(pages[0].extract_text().split())


@pytest.mark.parametrize(
    ("outcome", "big", "said"),
    [
        ("done", "READY", "It holds gas under pressure"),
        ("unrepaired", "NOT REPAIRED", "It may still hold gas"),
        ("uncharged", "NO GAS", "do not use it before it is charged"),
        ("not serviceable", "DO NOT USE", "it was not rebuilt and cannot be"),
        ("unsafe", "DO NOT OPEN", "Made safe by a gas fitter"),
        ("stopped", "DO NOT OPEN", "Only the owner releases it"),
    ],
)
def test_each_end_has_its_own_tag(bench: Bench, outcome: str, big: str, said: str) -> None:
    end(bench, outcome)
    words = words_of(printed(bench))
    assert big in words and said in words
    assert bench.fresh().damper.tag[:4] in words and "front left" in words
    assert "REPRINT" not in words


def test_the_stop_says_who_when_why_and_what_was_found(bench: Bench) -> None:
    end(bench, "stopped")
    stop = Entry.objects.get(kind="proof")
    facts = dict(printed(bench).figures["facts"])
    assert facts["Stopped by"].startswith(f"{stop.by.name}, 2 Mar")
    assert "does not move" in facts["Why"].casefold()
    assert facts["Found pressure"] == "132 psi"
    assert facts["Made safe"] == "not yet"


def test_what_was_not_read_is_said_to_be_not_read(bench: Bench) -> None:
    bench.do("", "close", outcome="unsafe", words="hisses")
    facts = dict(printed(bench).figures["facts"])
    assert facts["Found pressure"] == "not read"
    assert "hisses" in facts["Why"]


def test_a_finding_that_is_unsafe_to_use_says_so_whatever_the_end(bench: Bench) -> None:
    bench.unlock("strip")
    bench.do("", "finding", part="rod", words="bent", answer="unsafe", advice="replace")
    bench.do("", "close", outcome="uncharged", words="declined")
    figures = printed(bench).figures
    assert figures["title"] == "UNSAFE TO USE"
    assert "bent" in dict(figures["facts"])["Unsafe"] or "rod" in dict(figures["facts"])["Unsafe"]


def test_a_job_that_goes_on_has_no_tag(bench: Bench) -> None:
    bench.do("receive-tag", "do")
    with pytest.raises(Refused, match="has not ended yet"):
        printed(bench)


def test_a_second_print_is_a_reprint_and_says_how_things_stand(bench: Bench) -> None:
    end(bench, "stopped")
    first = printed(bench)
    bench.do("", "release", by=bench.owner, words="Vented by the maker")
    second = printed(bench)
    assert (first.number, second.number) == (1, 2)
    assert "Vented by the maker" in words_of(second) and "REPRINT, tag 2" in words_of(second)
    assert "Vented" not in words_of(Paper.objects.get(pk=first.pk))


def test_the_same_press_twice_prints_once(bench: Bench) -> None:
    end(bench, "unrepaired")
    call = Call.fresh()
    for expected in (None, AlreadyDone):
        if expected is None:
            tag.print_tag(job=bench.fresh(), by=bench.technician, at=bench.at, call=call)
        else:
            with pytest.raises(expected):
                tag.print_tag(job=bench.fresh(), by=bench.technician, at=bench.at, call=call)
    assert Paper.objects.filter(kind=tag.KIND).count() == 1


def _boxes(box: Any, *kinds: type[Box]) -> list[Any]:
    found = [box] if isinstance(box, kinds) else []
    for child in getattr(box, "children", ()):
        found += _boxes(child, *kinds)
    return found


def _inside(box: Any) -> bool:
    """Say whether a box lies in the tag's frame."""
    left, top, right, bottom = (mm * PIXELS_A_MM for mm in (4, 4, 98, 148))
    return (
        box.position_x >= left - 1
        and box.position_y >= top - 1
        and box.position_x + box.width <= right + 1
        and box.position_y + box.height <= bottom + 1
    )


@pytest.mark.parametrize("outcome", ["stopped", "unsafe", "done", "unrepaired"])
def test_no_name_makes_a_tag_run_over(bench: Bench, outcome: str) -> None:
    """Neither down nor sideways: every block keeps within the frame and cuts its own words.

    Seen red with one-line words and with two-line words that nothing cuts, with a lead of twice its height (two
    pages each), and with columns that are as wide as their words.
    """
    end(bench, outcome)
    paper = printed(bench)
    figures = paper.figures
    for name in ("shop", "place", "damper", "customer", "vehicle", "printed", "state"):
        figures[name] = LONG
    figures["facts"] = [[caption, LONG * 3] for caption, _words in figures["facts"]]
    long = Paper(kind=paper.kind, figures=figures, figures_hash="a" * 64, language="en", number=99)
    pages = (
        HTML(string=services.render_html(long), base_url=engine.BASE, url_fetcher=engine.OwnAssets())
        .render()
        .pages
    )
    assert len(pages) == 1
    (main,) = [box for box in _boxes(pages[0]._page_box, BlockLevelBox) if box.element_tag == "main"]
    assert [box.element_tag for box in _boxes(main, BlockLevelBox, TableCellBox) if not _inside(box)] == []
    texts = _boxes(main, TextBox)
    for words in (*figures["big"], figures["tag"], figures["order"]):
        shown = [box for box in texts if box.text == words]
        assert shown and all(_inside(box) for box in shown), words
    words_of(long)


@pytest.mark.parametrize(
    "words", ["DO NOT|OPEN", "NOT|REPAIRED", "NICHT|ÖFFNEN", "UNTERDRUCKGESETZT|NICHT BENUTZEN", "READY"]
)
def test_the_big_words_keep_within_the_tag(words: str) -> None:
    lines = words.split("|")
    size = tag.size_of(lines)
    markup = f'<h1 class="s{size}">{"<br>".join(lines)}</h1>'
    css = '<link rel="stylesheet" href="https://paper.invalid/css/fonts.css"><link rel="stylesheet" href="https://paper.invalid/css/label.css">'
    page = (
        HTML(string=f"{css}<main>{markup}</main>", base_url=engine.BASE, url_fetcher=engine.OwnAssets())
        .render()
        .pages[0]
    )
    assert [box.text for box in _boxes(page._page_box, TextBox)] == lines, "a word was broken"


def test_the_page_prints_and_shows_the_tag_to_bench_and_office(
    bench: Bench, client_as: Callable[[Person], Client]
) -> None:
    technician_client, desk_client = client_as(bench.technician), client_as(bench.desk)
    address = reverse("job-tag", args=[bench.job.pk])
    assert technician_client.get(address).status_code == 404
    end(bench, "stopped")
    page = technician_client.get(address).content.decode()
    assert "No tag of it was printed yet." in page
    answer = technician_client.post(address, {"act_key": "k1"})
    assert answer.status_code == 302 and answer["Location"] == address
    technician_client.post(address, {"act_key": "k1"})
    paper = Paper.objects.get(kind=tag.KIND)
    waiting = desk_client.get(address)
    assert waiting["Refresh"] == "2" and "being made" in waiting.content.decode()
    file = reverse("job-tag-file", args=[paper.pk])
    assert technician_client.get(file).status_code == 404
    services.render_paper(paper_id=paper.pk, at=bench.at)
    shown = technician_client.get(address)
    assert "Refresh" not in shown and file in shown.content.decode()
    assert "ready to print" in shown.content.decode(), "the file is done, the damper may be anything but"
    assert technician_client.get(file)["Content-Type"] == "application/pdf"
    assert desk_client.post(address, {"act_key": ""}).status_code == 422


def test_no_other_paper_is_given_to_the_bench(bench: Bench, client_as: Callable[[Person], Client]) -> None:
    technician_client = client_as(bench.technician)
    end(bench, "unrepaired")
    report = Paper.objects.get(kind="rebuild report")
    services.render_paper(paper_id=report.pk, at=bench.at)
    assert technician_client.get(reverse("job-tag-file", args=[report.pk])).status_code == 404
    assert Job.objects.get(pk=bench.job.pk).outcome == "unrepaired"

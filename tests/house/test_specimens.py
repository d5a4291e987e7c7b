"""The page of specimens: every state has words, every entry its caption, every error a link to its field."""

import re
from html.parser import HTMLParser

import pytest
from django.template.loader import render_to_string
from django.test import RequestFactory

from shopapp.web import specimens
from shopapp.web.templatetags.sheet import state_words

VOID = {"meta", "link", "input", "br", "hr", "img"}


class Page(HTMLParser):
    """Read a page: its elements with their attributes, and whether each one is closed in its turn."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.nodes: list[tuple[str, dict[str, str]]] = []
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.nodes.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.nodes.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self.open and self.open[-1] == tag, f"</{tag}> closes <{self.open[-1:]}>"
        self.open.pop()

    def with_attribute(self, name: str) -> list[str]:
        return [attrs[name] for _, attrs in self.nodes if name in attrs]


def rendered(sheet: str | None) -> str:
    template, context = specimens.page(sheet)
    return render_to_string(template, context, RequestFactory().get("/specimens"))


@pytest.fixture(params=["office", *specimens.BENCH_SHEETS])
def text(request: pytest.FixtureRequest) -> str:
    return rendered(request.param)


def test_elements_nest_and_ids_are_single(text: str) -> None:
    page = Page(text)
    ids = page.with_attribute("id")
    assert page.open == []
    assert len(ids) == len(set(ids))


def test_every_entry_is_captioned_and_every_reference_leads_somewhere(text: str) -> None:
    page = Page(text)
    ids = set(page.with_attribute("id"))
    captions = set(page.with_attribute("for"))
    for tag, attrs in page.nodes:
        if tag in ("input", "select", "textarea") and attrs.get("type") not in ("hidden", "radio"):
            assert attrs.get("id") in captions, f"{attrs} has no label"
    for name in ("for", "aria-describedby", "aria-labelledby", "form"):
        for value in page.with_attribute(name):
            assert set(value.split()) <= ids, f"{name}={value}"


def test_the_error_slip_links_to_fields_that_say_what_is_wrong() -> None:
    text = rendered(None)
    slip = re.search(r'<section class="slip error".*?</section>', text, re.S)
    assert slip is not None and "2 entries to look at" in slip[0]
    page = Page(text)
    by_id = {attrs["id"]: attrs for _, attrs in page.nodes if "id" in attrs}
    links = re.findall(r'href="#([^"]+)"', slip[0])
    assert links == ["id_meter", "id_comes"]
    assert set(links) <= set(by_id)
    assert by_id["id_meter"]["aria-invalid"] == "true"
    assert by_id["id_meter"]["aria-describedby"].split() == ["id_meter_error"]
    assert by_id["id_meter"]["value"] == "598 mi"
    assert "id_comes_error" in by_id


def test_every_state_has_words_beside_its_line() -> None:
    text = rendered(None)
    for state in specimens.STATES:
        assert re.search(rf'<span class="state"><svg[^>]*>.*?</svg>{state_words(state)}</span>', text)


def test_the_bench_shows_a_proof_without_a_bright_bar() -> None:
    """The bright action must not stand there before an answer is chosen; both answers are marked up alike."""
    text = rendered("proof")
    assert 'class="go"' not in text and 'class="idle"' in text
    answers = re.findall(r'<label class="(answer[^"]*)"><input ([^>]*)>', text)
    assert len(answers) == 2 and answers[0] == answers[1]

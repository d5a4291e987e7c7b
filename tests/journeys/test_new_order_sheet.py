"""The new-order sheet in the browser: the sum that was seen follows what is chosen; chosen pictures are shown.

Seen red: with the seen sum kept after a change, a sheet sent before the new sum stood there came back for nothing.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from shopapp.orders.models import WorkType
from shopapp.people.models import Person
from tests.drawn_pictures import a_jpeg
from tests.journeys.test_findings_at_the_desk import faults, page_of
from tests.orders.conftest import model, new_damper, rebuild, receive, std, wyn

pytestmark = [pytest.mark.journey, pytest.mark.django_db(transaction=True)]
__all__ = ["model", "new_damper", "rebuild", "receive", "std", "wyn"]


@pytest.fixture
def page(desk: Person, live_server: Any) -> Page:
    return page_of(desk, live_server, 820)


def test_the_sum_that_was_seen_is_the_one_that_stands_there(page: Page, rebuild: WorkType) -> None:
    page.goto("/orders/new")
    seen = page.locator("[name=sum_shown]")
    expect(seen).to_have_count(0)
    page.get_by_label("Work, for all").select_option(str(rebuild.pk))
    page.get_by_label("Place, row 1").select_option("front left")
    expect(seen).to_have_value("186.00")
    page.route(
        "**/orders/new",
        lambda route: (
            route.abort() if b"look_up" in (route.request.post_data_buffer or b"") else route.continue_()
        ),
    )
    page.get_by_label("Place, row 2").select_option("front right")
    expect(seen).to_have_value("")


def test_chosen_pictures_are_shown_before_they_are_sent(page: Page) -> None:
    """Seen red without chosen.js, and with a content policy that lets no picture of the browser's own be shown."""
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
    page.goto("/orders/new")
    entry = page.get_by_label("Pictures, row 1")
    pictures: list[Any] = [
        {"name": name, "mimeType": "image/jpeg", "buffer": a_jpeg(shade=shade)}
        for name, shade in (("leak <b>.jpg", 40), ("knob.jpg", 160))
    ]
    entry.set_input_files(pictures)
    shown = page.locator(".chosen img")
    expect(shown).to_have_count(2)
    assert all(one.evaluate("(img) => img.decode().then(() => img.naturalWidth)") > 0 for one in shown.all())
    words = page.locator(".chosen small")
    expect(words.first).to_have_text(re.compile(r"^leak <b>\.jpg, \d+ kB$"))
    assert faults(page) == {}
    entry.set_input_files(
        [pictures[1], {"name": "words.txt", "mimeType": "text/plain", "buffer": b"no picture"}]
    )
    expect(shown).to_have_count(1)
    expect(words).to_have_text([re.compile("^knob.jpg"), re.compile("^words.txt")])
    entry.set_input_files([])
    expect(words).to_have_count(0)
    assert said == []

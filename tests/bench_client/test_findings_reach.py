"""The panels of findings for everybody: axe in both themes and widths, large targets, no sideways scrolling."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from shopapp.web.specimen_dampers import every_construction
from tests.bench_client.bay import Bay
from tests.bench_client.tablet import open_sheet, press, stored
from tests.bench_client.test_drawing_legible import FOUND, drawn
from tests.bench_client.test_findings import tap
from tests.bench_client.test_reach import RULES, SHOWN, WINDOWS

pytestmark = pytest.mark.journey


def panels(page: Page, bay: Bay):  # type: ignore[no-untyped-def]
    """Walk through the panels, and name each once it is open."""
    open_sheet(page, bay)
    page.locator("#finding").click()
    yield "parts"
    tap(page, "compression adjuster")
    yield "describe"
    tap(page, "worn", "replace", "unsafe")
    yield "chosen"
    press(page, "Record compression adjuster: worn, unsafe to use")
    stored(page, bay)
    page.locator("#findings").click()
    yield "list"
    page.locator(".rows .row").click()
    yield "shown"
    page.get_by_role("button", name="It is put right").click()
    yield "put right"
    open_sheet(page, bay)
    yield "held"


@pytest.mark.parametrize(("theme", "window"), SHOWN, ids=str)
def test_axe_finds_nothing_on_the_panels(page: Page, bay: Bay, theme: str, window: tuple[int, int]) -> None:
    page.set_viewport_size({"width": window[0], "height": window[1]})
    page.add_init_script(f"localStorage.setItem('theme', '{theme}')")
    bay.before("Body temperature, while charging")
    bay.drawing = drawn(every_construction()[1], FOUND)
    found = {}
    for name in panels(page, bay):
        results = Axe().run(page, options=RULES).response
        found |= {(name, one["id"]): one["nodes"][0]["html"][:160] for one in results["violations"]}
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            found[(name, "scrolls sideways")] = str(page.evaluate("document.documentElement.scrollWidth"))
    assert not found


@pytest.mark.parametrize("window", WINDOWS[:2], ids=str)
def test_the_panels_targets_are_large(page: Page, bay: Bay, window: tuple[int, int]) -> None:
    """Seen red with keys of 60 px."""
    page.set_viewport_size({"width": window[0], "height": window[1]})
    bay.before("Body temperature, while charging")
    small = {}
    for name in panels(page, bay):
        sizes = page.eval_on_selector_all(
            "#entry :is(button, input, textarea), #left button",
            "(all) => all.filter((one) => one.offsetParent)"
            ".map((one) => [one.textContent, one.getBoundingClientRect().height])",
        )
        assert sizes, name
        small |= {(name, words): height for words, height in sizes if height < 75.5}
    assert not small

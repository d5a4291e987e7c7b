"""The page for everybody: axe in both themes and widths, targets, no sideways scrolling, reading order."""

import itertools
import random

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.bench_client.tablet import open_sheet
from tests.conftest import ALL, SEED

pytestmark = pytest.mark.journey

# The narrow window is tall, so that the bar at its bottom edge covers no target.
WINDOWS = [(1280, 800), (800, 1280), (320, 2600)]
LOOKS = list(itertools.product(["light", "dark"], WINDOWS))
SHOWN = LOOKS if ALL else random.Random(SEED).sample(LOOKS, 1)
PLACES = ["Preload adjuster, cap face to ring", "Proof of zero", "Drain", "Seal kit", "IFP puller", "Charge"]
RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"],
    "rules": {"target-size": {"enabled": True}},
}


@pytest.mark.parametrize(("theme", "window"), SHOWN, ids=str)
def test_axe_finds_nothing(page, bay, theme, window):
    page.set_viewport_size({"width": window[0], "height": window[1]})
    page.add_init_script(f"localStorage.setItem('theme', '{theme}')")
    found = {}
    for name in PLACES:
        bay.sheet["entries"] = []
        bay.before(name)
        open_sheet(page, bay)
        results = Axe().run(page, options=RULES)
        found |= {(name, one["id"]): one["nodes"][0]["html"][:160] for one in results.response["violations"]}
        assert results.response["passes"]
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), name
    assert not found


@pytest.mark.parametrize("window", WINDOWS[:2], ids=str)
def test_targets_in_the_bay_are_large(page, bay, window):
    page.set_viewport_size({"width": window[0], "height": window[1]})
    small = {}
    for name in PLACES:
        bay.sheet["entries"] = []
        bay.before(name)
        open_sheet(page, bay)
        sizes = page.eval_on_selector_all(
            "#entry :is(button, .answer, select, a), #left :is(button, .cell), .steps a, #action",
            "(all) => all.map((one) => [one.className, one.textContent, one.getBoundingClientRect().height])",
        )
        assert sizes
        small |= {(name, *words): height for *words, height in sizes if height < 75.5}
    assert not small


def test_the_order_of_reading_is_the_order_of_the_page_and_the_action_stands_last(page, bay):
    bay.before("Preload adjuster, cap face to ring")
    open_sheet(page, bay)
    order = page.eval_on_selector_all(
        "#zones, #left, #entry, .tb, #act", "(all) => all.map((one) => one.id || one.className)"
    )
    assert order == ["zones", "left", "entry", "tb", "act"]
    seen = []
    page.locator("#zones a").first.focus()
    for _ in range(70):
        seen.append(page.evaluate("document.activeElement.closest('#zones, #left, #entry, #act')?.id ?? ''"))
        page.keyboard.press("Tab")
    runs = [one for place, one in enumerate(seen) if place == 0 or seen[place - 1] != one]
    assert [one for one in runs if one][:4] in (
        ["zones", "left", "entry", "act"],
        ["zones", "left", "entry", "zones"],
    )


def test_every_mark_has_words(page, bay):
    bay.before("Proof of zero")
    open_sheet(page, bay)
    for mark in page.locator("#zones li, .steps li").all():
        assert mark.locator(".hide").inner_text().strip()


def test_the_drawing_stands_where_the_program_gives_one_and_tells_its_words(page, bay):
    bay.drawing = '<svg viewBox="0 0 600 200" role="img" aria-label="Half-section"><path d="M0 0H600"/></svg>'
    bay.before("Preload adjuster, cap face to ring")
    open_sheet(page, bay)
    expect(page.get_by_role("img", name="Half-section")).to_be_visible()
    page.set_viewport_size({"width": 800, "height": 1280})
    expect(page.get_by_role("img", name="Half-section")).to_be_visible()
    expect(page.locator(".cell.all")).to_contain_text("All 10 of this sheet")
    page.locator(".cell.all").click()
    expect(page.locator(".rows .row")).to_have_count(10)


def test_what_was_typed_never_becomes_markup(page, bay):
    bay.before("Preload adjuster, cap face to ring")
    hostile = '<img src=x onerror="document.title=1"></script><script>document.title=1</script>'
    bay.sheet["job"]["vehicle"] = hostile
    bay.entries[-1] |= {"by": hostile, "words": hostile, "text": hostile}
    open_sheet(page, bay)
    page.locator("[data-step]").first.click()
    expect(page.locator("#entry")).to_contain_text("<img src=x")
    assert page.locator("img").count() == 0
    assert page.title() != "1"

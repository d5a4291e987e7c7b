"""The drawing at arm's length: in Chromium no word in it comes out under 16 pixels, and none lies on another."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from shopapp.bench.queries.drawn import MOST_HALF, SHOWN, TEXT_SIZE, WIDTH
from shopapp.drawings.damper import Balloon, Build, DamperNumbers, damper_section
from shopapp.web.specimen_dampers import BARE, every_construction
from tests.bench_client.bay import Bay
from tests.conftest import drawn as a_few

pytestmark = pytest.mark.journey

LEAST = 16.0
SIZES = [pytest.param((1280, 800), id="landscape"), pytest.param((820, 1180), id="portrait")]
FOUND = (Balloon(1, "rod"), Balloon(2, "shims"), Balloon(3, "gas valve"))
WORDS = """() => [...document.querySelectorAll('#drawing svg text')].map((node) => {
  const box = node.getBoundingClientRect(), scale = node.getScreenCTM().a;
  return {words: node.textContent, size: parseFloat(getComputedStyle(node).fontSize) * scale,
    left: box.left, right: box.right, top: box.top + box.height * 0.14, bottom: box.bottom - box.height * 0.14};
})"""


def dampers() -> list[Any]:
    every = [one for one in every_construction() if one is not BARE]
    bare = [DamperNumbers(**{**vars_of(BARE), "build": build}) for build in Build]
    return [pytest.param(one, id=f"{one.build}-{number}") for number, one in enumerate([*every, *bare])]


def vars_of(numbers: DamperNumbers) -> dict[str, Any]:
    return {name: getattr(numbers, name) for name in DamperNumbers.__dataclass_fields__}


def drawn(numbers: DamperNumbers, found: tuple[Balloon, ...] = ()) -> str:
    look = {"width": WIDTH, "text_size": TEXT_SIZE, "shown": SHOWN, "most_half": MOST_HALF}
    return damper_section(numbers, **look, balloons=found)


def readings(bay: Bay, count: int) -> None:
    """Leave as many readings on the sheet of settings as asked for."""
    steps = [one for one in bay.sheet["steps"] if one["stage"] == "settings" and one["kind"] == "reading"]
    gone = {one["key"] for one in steps[count:]}
    bay.sheet["steps"] = [one for one in bay.sheet["steps"] if one["key"] not in gone]


def opened(page: Any, bay: Bay, size: tuple[int, int]) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.goto(f"{bay.url}/bench/sheets/1/")
    page.locator("#left .cells, #left .steps").first.wait_for()
    page.evaluate("document.fonts.ready.then(() => true)")


def judged(words: list[dict[str, Any]]) -> None:
    assert words, "the drawing is not shown"
    small = [(one["words"], one["size"]) for one in words if one["size"] < LEAST - 0.01]
    assert not small, small
    on_each_other = [
        (one["words"], other["words"])
        for one, other in itertools.combinations(words, 2)
        if one["left"] < other["right"] and other["left"] < one["right"]
        and one["top"] < other["bottom"] and other["top"] < one["bottom"]
    ]  # fmt: skip
    assert not on_each_other, on_each_other


def looks() -> list[Any]:
    """Give each damper at each size of a tablet."""
    both = itertools.product(dampers(), SIZES)
    return [pytest.param(*one.values, *size.values, id=f"{one.id}-{size.id}") for one, size in both]


@pytest.mark.parametrize(("numbers", "size"), a_few(looks(), 5))
def test_every_word_is_large_enough_and_stands_alone(page, bay, numbers, size):
    """Seen red with the drawing's height left to what the readings do not take: 12 pixels."""
    bay.drawing = drawn(numbers)
    bay.before("Preload adjuster, cap face to ring")
    opened(page, bay, size)
    judged(page.evaluate(WORDS))


@pytest.mark.parametrize(
    ("size", "count"),
    a_few([((1280, 800), n) for n in range(1, 11)] + [((820, 1180), n) for n in range(3, 11)], 4),
)
def test_whatever_number_of_readings_stands_beside_it(page, bay, count, size):
    """In portrait a sheet of mere steps leaves no room for the drawing at its size: there it stands aside."""
    bay.drawing = drawn(every_construction()[1])
    bay.before("Preload adjuster, cap face to ring")
    readings(bay, count)
    opened(page, bay, size)
    judged(page.evaluate(WORDS))


@pytest.mark.parametrize("numbers", a_few(dampers()[:7], 2))
def test_findings_stand_on_it_as_large(page, bay, numbers):
    bay.drawing = drawn(numbers, FOUND)
    bay.before("Preload adjuster, cap face to ring")
    opened(page, bay, (1280, 800))
    words = page.evaluate(WORDS)
    judged(words)
    assert {"1", "2", "3"} <= {one["words"] for one in words}


def test_a_tap_on_a_dimension_opens_its_entry_and_boxes_it(page, bay):
    """Seen red without the drawing's click handler."""
    bay.before("Preload adjuster, cap face to ring")
    steps = {one["figure"]: one["key"] for one in reversed(bay.sheet["steps"]) if one["figure"]}
    links = {"eye_centres": f"#{steps['eye centres']}", "preload": f"#{steps['preload']}"}
    numbers = every_construction()[1]
    bay.drawing = damper_section(numbers, width=WIDTH, text_size=TEXT_SIZE, shown=SHOWN, links=links)
    opened(page, bay, (1280, 800))
    page.locator("#drawing [data-dim=preload] a").click()
    assert page.locator("#drawing [data-dim=preload] a").get_attribute("aria-current") == "true"
    assert page.locator(f".cell[data-step='{steps['preload']}']").get_attribute("aria-current") == "true"
    assert page.locator("#drawing [data-dim=eye_centres] a").get_attribute("aria-current") is None

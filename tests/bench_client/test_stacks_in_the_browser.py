"""Shim stacks in the browser: read, compared and settled as the program does; entered, drawn and recorded by taps."""

import json
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from shopapp.calc import units
from tests.bench_client.bay import usual
from tests.bench_client.shims import ShimBay
from tests.bench_client.tablet import answer, idle, open_sheet, opened, press, stored
from tests.bench_client.test_reach import RULES, WINDOWS

TABLE = json.loads((Path(__file__).parents[1] / "bench" / "stacks.json").read_text(encoding="utf-8"))

pytestmark = pytest.mark.journey

READ = """async ([rows, tables]) => {
  const { label, read, write } = await import("/static/js/bench/stack_read.js");
  const short = (shims) => shims.map((shim) => [
    Number((shim.diameter.si * 1e3).toFixed(9)), Number((shim.thickness.si * 1e3).toFixed(9)), label(shim),
    ...(shim.crossover ? ["c"] : []),
  ]);
  return rows.map(({ text, comma }) => {
    try {
      const options = { tables, comma: Boolean(comma) };
      const shims = read(text, options);
      const again = short(read(write(shims, options), options));
      return { shims: short(shims), again };
    } catch (error) {
      return { refused: error.message };
    }
  });
}"""

COMPARE = """async ([rows, tables]) => {
  const { label, read } = await import("/static/js/bench/stack_read.js");
  const judge = await import("/static/js/bench/stack_judge.js");
  const shims = (text) => read(text, { tables }).map((shim) => ({
    diameter: shim.diameter.si, thickness: shim.thickness.si, label: label(shim), crossover: shim.crossover,
  }));
  const metres = (mm) => (mm === null ? null : mm / 1e3);
  return rows.map((row) => {
    if ("queries" in row) return { queries: judge.queries(shims(row.text)) };
    if ("problems" in row) {
      return { problems: judge.problems(shims(row.text), { seat: metres(row.seat_mm), clamp: metres(row.clamp_mm) }) };
    }
    const found = judge.compare(shims(row.out), shims(row.back));
    return {
      rows: found.map((one) => [one.kind, one.outPlace, one.backPlace]),
      said: judge.changes(found).map(judge.rowWords),
    };
  });
}"""


@pytest.fixture
def tables(modules):
    """Give the units' factors, on a page that holds the words."""
    return units.browser_tables()


def test_every_text_is_read_as_the_program_reads_it(page, tables):
    wrong = {}
    for case, found in zip(TABLE["reading"], page.evaluate(READ, [TABLE["reading"], tables]), strict=True):
        if case.get("refused"):
            good = "refused" in found and found["refused"].endswith(".")
        else:
            shims = found.get("shims", [])
            good = shims[: len(case["shims"])] == case["shims"] and found.get("again") == shims
            good = good and len(shims) == case.get("count", len(case["shims"]))
        if not good:
            wrong[case["text"]] = (found, case)
    assert len(TABLE["reading"]) >= 45
    assert not wrong


@pytest.mark.parametrize("table", ["comparing", "ordering", "asking"])
def test_every_stack_is_judged_as_the_program_judges_it(page, tables, table):
    wrong = {}
    for case, found in zip(TABLE[table], page.evaluate(COMPARE, [TABLE[table], tables]), strict=True):
        if any(case[name] != value for name, value in found.items()):
            wrong[json.dumps(case, ensure_ascii=False)] = found
    assert len(TABLE[table]) >= 5
    assert not wrong


def test_every_job_is_settled_as_the_program_settles_it(modules):
    wrong = {}
    for case in TABLE["settling"]:
        found = modules("stack_judge", "unsettled", TABLE["steps"], case["records"])
        said = {one["figure"]: one["why"] for one in found}
        judged = {"may_close_done": True, "outcomes": ["done", "unsafe"]}
        held = modules("stack_judge", "holdStacks", judged, TABLE["steps"], case["records"])
        if said != case["unsettled"] or ("done" in held["outcomes"]) == bool(said):
            wrong[case["name"]] = (said, held)
    assert len(TABLE["settling"]) >= 20
    assert not wrong


@pytest.fixture
def bay():
    with ShimBay() as started:
        yield started


def key(page, name):
    page.locator(f"#key-{name}").click()


def drawn(page):
    """Give the words beside the open stack's discs, as they stand on the left."""
    return page.locator("figure.shims > div").first.locator("svg text").all_text_contents()


def test_a_stack_is_pasted_mended_and_recorded(page, bay):
    bay.before("Compression stack as removed")
    open_sheet(page, bay)
    page.locator(".zones a", has_text="6").first.click()
    opened(page, "Compression stack as removed")
    expect(page.locator("#action")).to_have_text("Go on without: Compression stack as removed")
    page.evaluate(
        """() => {
          const data = new DataTransfer();
          data.setData("text", "2 x 40x0.20\\n32x0.20\\n36x0.20");
          const event = new ClipboardEvent("paste", { clipboardData: data, cancelable: true });
          document.getElementById("reading").dispatchEvent(event);
        }"""
    )
    press(page, "Add 4 shims from place 1")
    key(page, "up")
    key(page, "repeat")
    key(page, "remove")
    key(page, "before")
    key(page, "after")
    page.keyboard.type("28x0.30")
    page.keyboard.press("Enter")
    assert [words for words in drawn(page) if "×" in words] == [
        "40 × 0.20", "40 × 0.20", "36 × 0.20", "32 × 0.20", "28 × 0.30",
    ]  # fmt: skip
    press(page, "Record 5 shims, 1.10 mm as removed")
    opened(page, "Rebound stack as removed")
    entry = stored(page, bay)[0]
    assert entry["words"] == "2 x 40x0.20, 36x0.20, 32x0.20, 28x0.30"
    assert [entry["kind"], entry["reason"]] == ["reading", ""]


def test_what_was_removed_goes_back_by_one_tap_a_place(page, bay):
    bay.before("Compression stack as built")
    open_sheet(page, bay)
    key(page, "copy")
    for place, shim in enumerate(["44 × 0.20"] * 3 + ["36 × 0.10", "40 × 0.20", "36 × 0.20"], start=1):
        press(page, f"Place {place} is on: {shim}")
    key(page, "on")
    assert drawn(page).count("?") == 1
    press(page, "Place 8 is on: 28 × 0.15")
    press(page, "Record 8 shims, 1.45 mm as built")
    opened(page, "Rebound stack as built")
    entry = stored(page, bay)[0]
    assert entry["words"] == "3 x 44x0.20, 36x0.10 c, 40x0.20, 36x0.20, 32x0.20, 28x0.15"
    assert entry["reason"] == ""


def test_what_differs_or_is_odd_is_recorded_with_what_was_agreed(page, bay):
    bay.before("Compression stack as built")
    open_sheet(page, bay)
    page.keyboard.type("2 x 44x0.20 36x0.10 40x0.20 36x0.20 32x0.20 28x0.15")
    page.keyboard.press("Enter")
    expect(page.locator(".diffs")).to_contain_text("Place 3 as taken out: 44 × 0.20 left out")
    expect(page.locator(".diffs .out")).to_contain_text("larger than the one of 36 mm before it")
    press(page, "Record 7 shims, 1.25 mm, and say why")
    idle(page, "Say what was agreed, or why it is built so")
    answer(page, "changed as agreed with the customer")
    press(page, "Record 7 shims, 1.25 mm anyway")
    assert stored(page, bay)[0]["reason"] == "changed as agreed with the customer"


def test_a_job_is_not_done_until_it_is_said_why_a_stack_was_not_read_again(page, bay):
    last = bay.sheet["steps"][-1]
    bay.before(last["name"])
    bay.stored_answer(last, "")
    bay.sheet["entries"] = [
        e for e in bay.sheet["entries"] if e["figure"] not in ("rebound stack",) and e["step"] != 303
    ]
    bay.take({"entries": [usual(last, last["kind"])]})
    open_sheet(page, bay)
    page.locator("#job-menu").click()
    page.get_by_role("button", name="Close the job").click()
    expect(page.locator(".answer", has_text="done")).to_have_count(0)
    page.get_by_role("button", name="Say why: Compression stack").click()
    answer(page, "went back together from its pin")
    press(page, "Record: went back together from its pin, not measured again")
    press(page, "Close the job")
    expect(page.locator(".answer", has_text="done")).to_have_count(1)


@pytest.mark.parametrize("size", [(1280, 800), (820, 1180)])
def test_every_key_is_large_enough_and_apart(page, bay, size):
    page.set_viewport_size({"width": size[0], "height": size[1]})
    bay.before("Compression stack as built")
    open_sheet(page, bay)
    boxes = [one.bounding_box() for one in page.locator(".keys.shims button").all()]
    assert len(boxes) == 24
    assert min(min(box["width"], box["height"]) for box in boxes) >= 76
    bottom = page.locator(".tb").bounding_box()["y"]
    assert max(box["y"] + box["height"] for box in boxes) <= bottom + 1
    clipped = """(keys) => keys.filter(
      (one) => one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 1,
    ).length"""
    assert page.locator(".keys.shims button").evaluate_all(clipped) == 0


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_runs_past_the_edge(page, bay, theme):
    page.add_init_script(f"localStorage.setItem('theme', '{theme}')")
    bay.before("Compression stack as built")
    for width, height in WINDOWS:
        page.set_viewport_size({"width": width, "height": height})
        open_sheet(page, bay)
        key(page, "copy")
        press(page, "Place 1 is on: 44 × 0.20")
        key(page, "remove")
        found = Axe().run(page, options=RULES).response
        assert found["passes"]
        assert [(one["id"], one["nodes"][0]["html"][:160]) for one in found["violations"]] == [], width
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), width

"""A gloved hand at the tablet: every figure by the keypad, every step by taps, each tap counted.

What a technician would write for a step is the sheet's own target, or what the damper came with; the choices name what
this hand sees otherwise (a proof that fails, an answer that is not the first good one).
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from playwright.sync_api import Locator, Page, expect

MOST_LOOKS = 400
GO_ON = re.compile(r"^(Done|Go to|Next|Start|End)\b")


@dataclass
class Hand:
    """One person's hand on one sheet. `taps`, and what the work itself asks for: characters, readings, other steps."""

    page: Page
    sees: dict[str, str] = field(default_factory=dict)
    taps: int = 0
    characters: int = 0
    readings: int = 0
    others: int = 0
    done: list[str] = field(default_factory=list)

    @property
    def asked(self) -> int:
        """Characters typed, two for each reading, one for each step without one."""
        return self.characters + 2 * self.readings + self.others

    def tap(self, what: Locator) -> None:
        """Tap something, and count it."""
        what.click()
        self.taps += 1

    def open(self, tag: str) -> None:
        """Open a damper's sheet by its tag."""
        self.page.goto("/bench/")
        self.page.get_by_label("Tag", exact=True).fill(tag)
        self.page.keyboard.press("Enter")
        expect(self.page.locator("#action")).to_be_visible()
        sheet = json.loads(self.page.locator("#sheet-data").text_content() or "")
        self.steps = sheet["steps"]
        recorded = {entry["key"] for entry in sheet["entries"]}
        self.came: dict[tuple[str, str], str] = {
            (entry["figure"], entry["position"]): entry["text"]
            for entry in sheet["entries"]
            if entry["phase"] == "received" and entry["text"]
        }
        self.left = [step for step in self.steps if step["key"] not in recorded]

    # ── one step ─────────────────────────────────────────────────────────────────────────────────────────────────
    def _step(self, name: str) -> dict[str, Any]:
        found = next((step for step in self.left if step["name"] == name), None)
        assert found is not None, f"no step is left that is called {name}"
        return dict(found)

    def _text(self, step: dict[str, Any]) -> tuple[str, str]:
        """Give figure and unit as this hand types them."""
        if step["name"] in self.sees:
            text = self.sees[step["name"]]
        elif step["phase"] == "built" and (step["figure"], step["position"]) in self.came:
            text = self.came[step["figure"], step["position"]]
        else:
            limits = step["limits"] or {}
            text = limits.get("target_text") or limits.get("low_text") or limits.get("high_text") or "20"
        if step["phase"] == "received":
            self.came[step["figure"], step["position"]] = text
        found = re.fullmatch(r"([\d\s./]+?)\s*([^\d\s./].*)?", text)
        assert found is not None, text
        return found.group(1), found.group(2) or ""

    def type(self, figure: str, unit: str) -> None:
        """Type a figure by the keys; another unit is a tap on its key."""
        keys = self.page.locator("#entry .keys")
        shown = self.page.locator("#key-unit b")
        for _ in range(4):
            if not unit or shown.inner_text() == unit:
                break
            self.tap(self.page.locator("#key-unit"))
        for mark in figure:
            key = keys.locator("button").nth(8) if mark == " " else keys.locator(f'button:text-is("{mark}")')
            self.tap(key)
        self.characters += len(figure)

    def _pick(self, step: dict[str, Any] | None) -> None:
        """Choose an answer: what this hand sees, else the first that is good."""
        name = step["name"] if step else ""
        good = next((o["words"] for o in step["options"] if o.get("passes")), "") if step else ""
        words = self.sees.get(name, good)
        labels = self.page.locator("#entry .answer")
        self.tap(labels.filter(has_text=words).first if words else labels.first)

    # ── the sheet ────────────────────────────────────────────────────────────────────────────────────────────────
    def work(self, until: Callable[[Page], bool]) -> None:
        """Go on step by step until something holds of the page."""
        for _ in range(MOST_LOOKS):
            if until(self.page):
                return
            self._one()
        raise AssertionError(f"still at: {self._where()}")

    def _where(self) -> str:
        entry, bar = self.page.locator("#entry"), self.page.locator("#action").inner_text()
        return f"{entry.get_attribute('aria-label')} | {bar} | {entry.inner_text()[:300]}"

    def _one(self) -> None:
        page = self.page
        name = (page.locator("#entry").get_attribute("aria-label") or "").removeprefix("Entry: ")
        bar = page.locator("#action").inner_text()
        if page.locator("#reading").count() and bar == "Type the reading":
            step = self._step(name)
            self.type(*self._text(step))
            self.readings += 1
            self._count(step)
            self.tap(page.locator("button#action"))
        elif page.get_by_role("button", name="End it now").count():
            self.tap(page.get_by_role("button", name="End it now"))
        elif page.get_by_role("button", name=re.compile("^Go on without")).count() and name not in self.sees:
            self.left = [step for step in self.left if step["name"] != name]
            self.tap(page.get_by_role("button", name=re.compile("^Go on without")).first)
        elif page.locator("#entry .answer").count() and page.locator("p#action").count():
            step = next((s for s in self.left if s["name"] == name and s["options"]), None)
            self._pick(step)
            if step is not None:
                self._count(step, other=True)
        elif page.locator("button#action").count():
            self._go_on(name, bar)
        else:
            raise AssertionError(f"nothing to tap: {self._where()}")

    def _go_on(self, name: str, bar: str) -> None:
        step = next((s for s in self.left if s["name"] == name), None)
        if (
            step is not None
            and step["kind"] in ("do", "wait", "part", "tool")
            and not bar.startswith("Go to")
        ):
            self._count(step, other=True)
        self.tap(self.page.locator("button#action"))

    def _count(self, step: dict[str, Any], *, other: bool = False) -> None:
        self.left = [one for one in self.left if one["key"] != step["key"]]
        self.done.append(step["name"])
        self.others += other


def countersign(page: Page, tag: str) -> int:
    """Countersign everything on a sheet that waits for a hand like this one; give how many times it was pressed."""
    Hand(page).open(tag)
    begin = page.locator("button#action", has_text=re.compile("^(To be countersigned|Countersign): "))
    for zone in page.locator("#zones a").all():
        for at in range(page.locator("#left [data-step]").count() if not begin.count() else 0):
            page.locator("#left [data-step]").nth(at).click()
            if begin.count():
                break
        if begin.count():
            break
        zone.click()
    pressed = 0
    while begin.count():
        many = page.get_by_role("button", name=re.compile("^Countersign all"))
        (many if many.count() else begin).first.click()
        pressed += 1
    stored(page)
    return pressed


def close(page: Page, outcome: str, why: str = "", *, parts: str = "") -> None:
    """Close the job from its menu; `parts` says of all that was issued "All were used" or "All go back"."""
    if not may_close(page):
        page.locator("#job-menu").click()
        page.get_by_role("button", name="Close the job").click()
    else:
        page.locator("#action").click()
    page.locator("#entry .answer", has_text=re.compile(f"^{outcome}$")).click()
    if why:
        page.get_by_label("Say why, for the report").fill(why)
    page.locator("button#action").click()
    if parts:
        page.get_by_role("button", name=parts).click()
        page.locator("button#action").click()


def may_close(page: Page) -> bool:
    """Say whether the bar offers to close the job."""
    return page.locator("#action").inner_text().startswith("Close the job")


def is_held(page: Page) -> bool:
    """Say whether a trainee can go no further: stopped, a step for others, or entries that wait for another hand."""
    return is_stopped(page) or "to countersign" in page.locator("#action").inner_text()


def is_stopped(page: Page) -> bool:
    """Say whether the sheet has stopped."""
    return page.locator("#entry.stop").count() > 0


def stored(page: Page) -> None:
    """Wait until nothing is kept here."""
    expect(page.locator("#kept b")).to_have_text("all stored", timeout=60_000)

"""A keyboard that counts: every key that is held down for an entry is one stroke, on whichever page it is pressed."""

from __future__ import annotations

from collections import Counter
from itertools import takewhile
from typing import Any

from playwright.sync_api import Page

MOST_TABS = 80
CHOICE = """() => {
  const list = document.activeElement;
  return list.tagName === "SELECT" ? [list.selectedIndex, [...list.options].map((one) => one.text)] : null;
}"""


class Keys:
    """Presses real keys on a page and counts them by part of the entry. No mouse, nothing filled in.

    A chord is a stroke for each key of it (Ctrl+Enter is two); a character is one, a capital as well.
    """

    def __init__(self, page: Page) -> None:
        self.page = page
        self.part = ""
        self.struck: Counter[str] = Counter()

    @property
    def strokes(self) -> int:
        return self.struck.total()

    def press(self, chord: str, times: int = 1) -> None:
        for _ in range(times):
            self.page.keyboard.press(chord)
            self.struck[self.part] += len(chord.split("+"))

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)
        self.struck[self.part] += len(text)

    def at(self) -> str:
        """Give the name of the entry that has the focus, or what kind of element it is."""
        return str(self.page.evaluate("document.activeElement.name || document.activeElement.tagName"))

    def tab_to(self, name: str, chord: str = "Tab") -> None:
        """Press Tab until the entry of that name has the focus: each press is a stroke."""
        for _ in range(MOST_TABS):
            if self.at() == name:
                return
            self.press(chord)
        raise AssertionError(f"Tab does not lead to {name}, but to {self.at()}")

    def choose(self, words: str) -> None:
        """Choose what begins with these words in the list that has the focus, by the fewest keys of its own."""
        found: Any = self.page.evaluate(CHOICE)
        assert found, f"{self.at()} is no list to choose {words} from"
        now, options = found
        to = next((at for at, option in enumerate(options) if option.strip().startswith(words)), None)
        assert to is not None, f"{words} is none of {options}"
        for key in min(_ways(now, to, [option.strip() for option in options]), key=len):
            self.press(key)
        chosen, _options = self.page.evaluate(CHOICE)
        assert chosen == to, (words, options[chosen])


def _ways(now: int, to: int, options: list[str]) -> list[list[str]]:
    """Give the ways to an option: arrows from here or from an end, its letter again and again, its beginning."""
    last = len(options) - 1
    arrow = "ArrowDown" if to > now else "ArrowUp"
    ways = [[arrow] * abs(to - now), ["Home", *["ArrowDown"] * to], ["End", *["ArrowUp"] * (last - to)]]
    folded = [option.casefold() for option in options]
    round_from_here = [*range(now + 1, last + 1), *range(now + 1)]
    letter = folded[to][:1]
    if letter.isalpha():
        alike = [at for at in round_from_here if folded[at].startswith(letter)]
        ways.append([letter] * (len([*takewhile(lambda at: at != to, alike)]) + 1))
        ways += _beginnings(now, to, folded)
    return ways


def _beginnings(now: int, to: int, folded: list[str]) -> list[list[str]]:
    """Give the shortest beginning by which the option is the first one from the chosen one on."""
    order = [*range(now, len(folded)), *range(now)]
    for length in range(2, len(folded[to]) + 1):
        begun = folded[to][:length]
        letters_differ = len(set(begun)) > 1
        if letters_differ and next(at for at in order if folded[at].startswith(begun)) == to:
            return [["Space" if mark == " " else mark for mark in begun]]
    return []

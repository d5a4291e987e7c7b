"""Fill a bench sheet step by step, as the page does: from the sheet document, one entry each.

Used by the loader (through the services) and by the walk (over HTTP): both send the same entries.
"""

from __future__ import annotations

import random
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from shopapp.bench.lock_restoring import SPARE
from shopapp.demo.readings import reading

Send = Callable[[dict[str, Any]], None]
"""Takes one entry as the endpoint does; raises where it is refused."""

Look = Callable[[], dict[str, Any]]
"""Gives the fresh sheet document."""


@dataclass
class Filler:
    """One technician at one sheet.

    `found` maps (figure, position) to what was read as received, so that it is restored; `written` maps each step's
    key to the text that was typed. `wait_reason` is given where a wait is ended before its time. A `stuck` damper's
    zero is not proved: the proof gets the answer that stops it. `shoot` gives the pictures of a step; without it none
    are taken.
    """

    send: Send
    look: Look
    rng: random.Random
    at: datetime
    minutes: tuple[int, int] = (1, 4)
    counter: int = 0
    wait_reason: str = ""
    stuck: bool = False
    shoot: Callable[[dict[str, Any]], list[dict[str, Any]]] | None = None
    found: dict[tuple[str, str], str] = field(default_factory=dict)
    written: dict[str, str] = field(default_factory=dict)

    def fill(self, *, until: str = "", most: int = 10_000) -> None:
        """Record every step in order; stop before the stage `until`, or after `most` entries."""
        sheet = self.look()
        for stage in sheet["stages"]:
            if until and stage["code"] == until:
                return
            for key in stage["steps"]:
                if self.counter >= most:
                    return
                step = next(step for step in sheet["steps"] if step["key"] == key)
                if step["computed"]:
                    sheet = self.look()
                self._fill_step(step, sheet)

    def _fill_step(self, step: dict[str, Any], sheet: dict[str, Any]) -> None:
        if self.stuck and step["locks"] == "strip":
            self.send(self._entry(sheet, step, "proof", answer=_stopping(step)))
            return
        for entry in self._entries(step, sheet):
            self.send(entry)

    def close(self, outcome: str = "done", words: str = "") -> None:
        """Close the job."""
        self.send(self._entry(self.look(), None, "close", outcome=outcome, words=words))

    def find(self, pictures: list[dict[str, Any]], **said: str) -> None:
        """Record a finding, and its pictures."""
        found = self._entry(self.look(), None, "finding", **said)
        self.send(found)
        self.send(self._entry(self.look(), None, "picture", pictures=pictures, about=found["id"]))

    def _entry(
        self, sheet: dict[str, Any], step: dict[str, Any] | None, kind: str, **more: Any
    ) -> dict[str, Any]:
        self.counter += 1
        self.at += timedelta(minutes=self.rng.randint(*self.minutes), seconds=self.rng.randint(0, 59))
        return {
            "id": str(uuid.UUID(int=self.rng.getrandbits(128), version=4)),
            "job": sheet["job"]["id"],
            "step": step["id"] if step else None,
            "position": step["position"] if step else "",
            "kind": kind,
            "typed_at": self.at.isoformat(),
            "counter": self.counter,
            **more,
        }

    def _entries(self, step: dict[str, Any], sheet: dict[str, Any]) -> list[dict[str, Any]]:
        kind = step["kind"]
        stays_on_its_pin = step["unit_kind"] == "stack" and not step["required"]
        if stays_on_its_pin:
            return []
        if kind == "picture":
            shown = self.shoot(step) if self.shoot is not None else []
            return [self._entry(sheet, step, "picture", pictures=shown)] if shown else []
        if kind == "wait":
            begun = self._entry(sheet, step, "wait")
            if not self.wait_reason:
                self.at += timedelta(minutes=step["minutes"])
            return [begun, self._entry(sheet, step, "wait end", reason=self.wait_reason)]
        return [self._entry(sheet, step, kind, **self._content(step, sheet))]

    def _content(self, step: dict[str, Any], sheet: dict[str, Any]) -> dict[str, Any]:
        if step["kind"] == "reading":
            content = {"text": self._reading(step, sheet)}
            tool = _tool(step)
            return {**content, "tool": tool} if tool else content
        if step["kind"] in ("proof", "choice"):
            option = next((o for o in step["options"] if o["passes"]), step["options"][0])
            return {"answer": option["value"]}
        if step["kind"] == "part":
            return {"lots": [{"line": part["line"], "lot": _lot(part)} for part in step["parts"]]}
        if step["kind"] == "tool":
            return {"tool": _tool(step)}
        return {}

    def _reading(self, step: dict[str, Any], sheet: dict[str, Any]) -> str:
        place = (step["figure"], step["position"])
        if step["phase"] == "built" and place in self.found and step["figure"] in SPARE:
            text = self.found[place]
        else:
            text = reading(step, self.rng, sheet["computed"])
        if step["phase"] == "received":
            self.found[place] = text
        self.written[step["key"]] = text
        return text


def _tool(step: dict[str, Any]) -> str:
    """Pick the first tool that is good."""
    good = [tool for tool in step["tools"] if tool["standing"] in ("good", "unchecked")]
    return good[0]["tag"] if good else ""


def _lot(part: dict[str, Any]) -> int:
    """Take the oldest good lot that holds enough."""
    return int(next(lot["id"] for lot in part["lots"] if lot["on_hand"] >= part["quantity"]))


def _stopping(step: dict[str, Any]) -> str:
    """Give the answer of a proof that stops the job."""
    return str(next(option["value"] for option in step["options"] if option["stops"]))

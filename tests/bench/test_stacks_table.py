"""The one table of cases for shim stacks, against the program's own reader and judges."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from shopapp.bench.lock_stacks import Asked, Laid, unsettled
from shopapp.calc import stacks
from shopapp.calc.shims import order_problems

TABLE: dict[str, Any] = json.loads((Path(__file__).parent / "stacks.json").read_text(encoding="utf-8"))


def ids(rows: list[dict[str, Any]]) -> list[str]:
    return [row.get("name") or row.get("text") or f"{row.get('out')} | {row.get('back')}" for row in rows]


@pytest.mark.parametrize("case", TABLE["reading"], ids=ids(TABLE["reading"]))
def test_a_text_is_read(case: dict[str, Any]) -> None:
    comma = bool(case.get("comma"))
    if case.get("refused"):
        with pytest.raises(ValueError, match=r"\.$"):
            stacks.read(case["text"], decimal_comma=comma)
        return
    found = [
        [
            round(s.diameter.si * 1e3, 9),
            round(s.thickness.si * 1e3, 9),
            stacks.label(s),
            *("c" if s.crossover else ""),
        ]
        for s in stacks.read(case["text"], decimal_comma=comma)
    ]
    assert found[: len(case["shims"])] == case["shims"]
    assert len(found) == case.get("count", len(case["shims"]))


@pytest.mark.parametrize("case", TABLE["comparing"], ids=ids(TABLE["comparing"]))
def test_two_stacks_are_compared(case: dict[str, Any]) -> None:
    rows = stacks.compare(stacks.read(case["out"]), stacks.read(case["back"]))
    assert [[row.kind, row.out_place, row.back_place] for row in rows] == case["rows"]
    assert [row.sentence() for row in stacks.changes(rows)] == case["said"]


@pytest.mark.parametrize("case", TABLE["ordering"], ids=ids(TABLE["ordering"]))
def test_an_order_is_judged(case: dict[str, Any]) -> None:
    stack = stacks.read(case["text"])
    seat, clamp = ((case[name] or 1e-3) / 1e3 for name in ("seat_mm", "clamp_mm"))
    found = order_problems(
        stacks.plates(stack),
        clamp_diameter_m=clamp,
        seat_diameter_m=seat,
        crossovers=stacks.crossovers(stack),
    )
    assert found == case["problems"]


@pytest.mark.parametrize("case", TABLE["asking"], ids=ids(TABLE["asking"]))
def test_what_is_unlikely_is_asked(case: dict[str, Any]) -> None:
    assert stacks.queries(stacks.read(case["text"])) == case["queries"]


@pytest.mark.parametrize("case", TABLE["settling"], ids=ids(TABLE["settling"]))
def test_what_stands_in_the_way_of_done(case: dict[str, Any]) -> None:
    asked = [Asked(s["key"], s["figure"], s["phase"]) for s in TABLE["steps"] if s["unit_kind"] == "stack"]
    assert unsettled(asked, [Laid.read(record) for record in case["records"]]) == case["unsettled"]

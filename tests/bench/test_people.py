"""The table of cases for who recorded what (people.json), which the browser's module runs as well."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from shopapp.bench import lock_people, locks

TABLE = json.loads((Path(__file__).parent / "people.json").read_text(encoding="utf-8"))


def test_the_table_names_each_case_once() -> None:
    names = [case["name"] for case in TABLE["cases"]]
    assert len(names) >= 30
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("case", TABLE["cases"], ids=lambda case: case["name"])
def test_a_case(case: dict[str, Any]) -> None:
    steps = [locks.StepRule.read(step) for step in TABLE["procedures"][case["procedure"]]]
    hands = [lock_people.Hand.read(record) for record in case["records"]]
    judged = locks.judge(steps, [locks.Record.read(record) for record in case["records"]])
    found = lock_people.hold_hands(judged, steps, hands, second=case["second"])
    first = case["shut_from"]
    shut = len(locks.ORDER) if first is None else locks.ORDER.index(first)
    stages = {step.key: step.stage for step in steps}
    assert found.open == frozenset(locks.ORDER[:shut])
    assert sorted(key for key in found.open_steps if stages[key] not in found.open) == case["open_besides"]
    assert sorted(lock_people.unsigned(hands)) == case["unsigned"]
    assert list(found.missing) == case["missing"]
    assert sorted(found.outcomes) == case["outcomes"]
    assert found.may_close_done == case["may_close_done"]
    for stage, keys in case["locked_by"].items():
        assert list(found.locked_by[stage]) == keys


@pytest.mark.parametrize("case", TABLE["cases"], ids=lambda case: case["name"])
def test_hands_only_take_away(case: dict[str, Any]) -> None:
    """Whoever recorded: nothing opens that the judge of locks keeps shut."""
    steps = [locks.StepRule.read(step) for step in TABLE["procedures"][case["procedure"]]]
    judged = locks.judge(steps, [locks.Record.read(record) for record in case["records"]])
    hands = [lock_people.Hand.read(record) for record in case["records"]]
    found = lock_people.hold_hands(judged, steps, hands, second=case["second"])
    assert found.open <= judged.open
    assert found.open_steps <= judged.open_steps
    assert found.outcomes <= judged.outcomes
    assert set(found.missing) >= set(judged.missing)

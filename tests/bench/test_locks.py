"""The table of lock cases (locks.json), which the browser's module runs as well."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from shopapp.bench import locks
from shopapp.specs.models import STAGES

TABLE = json.loads((Path(__file__).parent / "locks.json").read_text(encoding="utf-8"))


def _read(case: dict[str, Any]) -> tuple[list[locks.StepRule], list[locks.Record]]:
    steps = [locks.StepRule.read(step) for step in TABLE["procedures"][case["procedure"]]]
    return steps, [locks.Record.read(record) for record in case["records"]]


def test_the_table_is_wide_enough_and_names_each_case_once() -> None:
    names = [case["name"] for case in TABLE["cases"]]
    assert len(names) >= 40
    assert len(set(names)) == len(names)


def test_stages_stand_in_the_order_of_the_procedures() -> None:
    assert list(locks.ORDER) == [code for code, _name in STAGES] == TABLE["order"]


@pytest.mark.parametrize("case", TABLE["cases"], ids=lambda case: case["name"])
def test_a_case(case: dict[str, Any]) -> None:
    steps, records = _read(case)
    found = locks.judge(steps, records)
    first = case["shut_from"]
    shut = len(locks.ORDER) if first is None else locks.ORDER.index(first)
    assert found.open == frozenset(locks.ORDER[:shut])
    besides = {key for key in found.open_steps if {s.key: s.stage for s in steps}[key] not in found.open}
    assert besides == set(case["open_besides"])
    assert {s.key for s in steps if s.stage in found.open} <= found.open_steps
    for name in ("stage", "stopped", "released", "closed", "may_close_done"):
        assert getattr(found, name) == case[name], name
    assert list(found.missing) == case["missing"]
    assert sorted(found.outcomes) == case["outcomes"]
    assert sorted(found.waiting) == case["waiting"]
    for stage, state in case.get("states", {}).items():
        assert found.states[stage] == state, stage
    for expected in case.get("next", ()):
        late = locks.out_of_order(steps, records, expected["key"], expected.get("corrects", ""))
        assert late is expected["out_of_order"], expected


@pytest.mark.parametrize(
    "case", [case for case in TABLE["cases"] if case["procedure"] != "none"], ids=lambda case: case["name"]
)
def test_no_case_opens_strip_without_zero_or_charge_without_its_proof(case: dict[str, Any]) -> None:
    """The three stops, said once more in another way than the judge says them."""
    steps, records = _read(case)
    found = locks.judge(steps, records)
    by_key = {step.key: step for step in steps}
    proofs = {step.key: step.locks for step in steps if step.kind == "proof"}
    passed = {
        r.key for r in records if r.key in proofs and not r.out_of_order and r.answer in by_key[r.key].passes
    }
    stopped = any(r.key in by_key and r.answer in by_key[r.key].stops for r in records)
    for stage in ("strip", "charge"):
        needed = {key for key, locked in proofs.items() if locked == stage}
        assert not (stage in found.open and needed and (stopped or not needed <= passed)), stage

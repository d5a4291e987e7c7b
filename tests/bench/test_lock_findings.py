"""The table of what findings do to a sheet (findings.json), which the browser's module runs as well."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from shopapp.bench import lock_findings, locks
from shopapp.bench.lock_findings import Found

HERE = Path(__file__).parent
TABLE = json.loads((HERE / "findings.json").read_text(encoding="utf-8"))
STEPS = json.loads((HERE / "locks.json").read_text(encoding="utf-8"))["procedures"]["gas"]


@pytest.mark.parametrize("case", TABLE["cases"], ids=lambda case: case["name"])
def test_a_case(case: dict[str, Any]) -> None:
    """Seen red: without the answer, without `put_right`, with gas not looked at, with a late finding let by."""
    steps = [locks.StepRule.read(step) for step in STEPS]
    records = [locks.Record.read(record) for record in case["records"]]
    findings = [Found.read(finding) for finding in case["findings"]]
    found = lock_findings.hold_back(locks.judge(steps, records), steps, findings)
    first = case["shut_from"]
    shut = len(locks.ORDER) if first is None else locks.ORDER.index(first)
    assert found.open == frozenset(locks.ORDER[:shut])
    stages = {step.key: step.stage for step in steps}
    assert {key for key in found.open_steps if stages[key] not in found.open} == set(case["open_besides"])
    for name in ("stopped", "closed", "may_close_done", "holds_gas"):
        assert getattr(found, name) == case[name], name
    assert list(found.missing) == case["missing"]
    assert list(found.held) == case["held"]
    assert sorted(found.outcomes) == case["outcomes"]
    late = locks.out_of_order(steps, records, "6:") or lock_findings.shuts(findings, "charge")
    assert late is case["charge_late"]


@pytest.mark.parametrize("case", TABLE["cases"], ids=lambda case: case["name"])
def test_nothing_unsafe_is_charged_or_done(case: dict[str, Any]) -> None:
    """The rule said once more, in another way than the judge says it."""
    unsafe = [one for one in case["findings"] if one["grade"] == "unsafe"]
    if all(one.get("answer") == "yes" and one.get("put_right") for one in unsafe):
        return
    assert case["shut_from"] is not None
    assert locks.ORDER.index(case["shut_from"]) <= locks.ORDER.index("charge")
    assert "done" not in case["outcomes"]
    assert not case["may_close_done"]

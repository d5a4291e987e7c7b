"""The reference cases of a topic, and how each is held against the calculations.

A topic's test module names a runner for each family of ids and lists, by id, the cases that
no calculation answers. A runner returns what was computed under the keys of `expected`; keys
that no calculation answers are listed per topic as well, so that nothing is left out unseen.
"""

import json
import math
import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

REFERENCE = Path(__file__).resolve().parent.parent / "reference"

Case = dict[str, Any]
Runner = Callable[[Case], Mapping[str, Any]]


def load(topic: str) -> dict[str, Case]:
    """Return the cases of a topic by id."""
    cases = json.loads((REFERENCE / f"{topic}.json").read_text(encoding="utf-8"))["cases"]
    by_id = {case["id"]: case for case in cases}
    assert len(by_id) == len(cases), f"an id stands twice in {topic}"
    return by_id


def runner_of(case_id: str, runners: Mapping[str, Runner]) -> Runner | None:
    """Return the one runner whose pattern matches the id."""
    found = [runner for pattern, runner in runners.items() if re.fullmatch(pattern, case_id)]
    assert len(found) < 2, f"{case_id} has two runners"
    return found[0] if found else None


def run_ids(topic: str, runners: Mapping[str, Runner]) -> list[str]:
    """Return the ids of the cases that are run."""
    return [case_id for case_id in load(topic) if runner_of(case_id, runners)]


def check_complete(topic: str, runners: Mapping[str, Runner], background: Mapping[str, str]) -> None:
    """Fail for a case that is neither run nor listed, for one that is both, and for one that is gone."""
    cases = load(topic)
    run = set(run_ids(topic, runners))
    assert cases
    assert run | set(background) == set(cases)
    assert not run & set(background)


def check_case(case: Case, runners: Mapping[str, Runner], unanswered: frozenset[str] = frozenset()) -> None:
    """Run a case and compare every answered key within its tolerance."""
    runner = runner_of(case["id"], runners)
    assert runner is not None
    computed = runner(case)
    expected = case["expected"]
    assert computed, "a runner must answer something"
    assert set(expected) - set(computed) <= unanswered, "a key of the case is not answered"
    assert set(computed) <= set(expected), "a runner answers what nobody asked"
    for key, value in computed.items():
        assert value == within(expected[key], case["tolerance"], key), key


def within(expected: Any, tolerance: Any, key: str) -> Any:
    """Return something equal to whatever lies within the tolerance of `expected`."""
    if isinstance(expected, list):
        return [within(one, tolerance, key) for one in expected]
    if isinstance(expected, bool | str | Decimal) or expected is None or tolerance == "exact":
        return expected
    rel, absolute = tolerance_of(tolerance, key)
    return pytest.approx(expected, rel=rel, abs=absolute)


def tolerance_of(tolerance: dict[str, float], key: str) -> tuple[float, float]:
    """Return (rel, abs) for a key: its own line where it has one, the general one otherwise.

    A line such as ``force abs`` belongs to the keys that name it; where two lines fit, the one
    that stands first in the key counts. A line that is the key itself gives a relative one.
    """
    if key in tolerance:
        return tolerance[key], 0.0
    parts = re.split(r"[_ ]", key)
    own = [name.split() for name in tolerance if len(name.split()) == 2 and name.split()[0] in parts]
    if own:
        word, way = min(own, key=lambda words: parts.index(words[0]))
        size = tolerance[f"{word} {way}"]
        return (size, 0.0) if way == "rel" else (0.0, size)
    rel, absolute = tolerance.get("rel", 0.0), tolerance.get("abs", 0.0)
    assert rel or absolute, f"no tolerance for {key}"
    assert math.isfinite(rel + absolute)
    return rel, absolute

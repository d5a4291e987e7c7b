"""What findings do to a sheet: one that is unsafe to use keeps the gas out, and the job from being done.

Pure, with its twin in static/js/bench/held.js; both are held to the table tests/bench/findings.json. A finding lets go
only when the customer agreed *and* it was put right: agreeing alone mends no rod.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from shopapp.bench.finding_words import holds
from shopapp.bench.lock_rules import ORDER, UNSAFE, StepRule
from shopapp.bench.locks import Standing

SHUT_FROM = ORDER.index("charge")
DONE = "done"


@dataclass(frozen=True, slots=True)
class Found:
    """What the judge needs of a finding that nothing corrects; `answer` is the customer's."""

    id: str
    grade: str
    answer: str = ""
    put_right: bool = False

    @classmethod
    def read(cls, finding: Mapping[str, Any]) -> Found:
        """Read a finding of a sheet document."""
        return cls(
            id=finding["id"],
            grade=finding["grade"],
            answer=finding.get("answer") or "",
            put_right=bool(finding.get("put_right")),
        )


def holding(findings: Iterable[Found]) -> tuple[str, ...]:
    """Give the ids of the findings that keep the gas out."""
    return tuple(one.id for one in findings if holds(one.grade, one.answer, put_right=one.put_right))


def shuts(findings: Iterable[Found], stage: str) -> bool:
    """Say whether a finding keeps this stage shut: the charge and what comes after it."""
    return stage in ORDER and ORDER.index(stage) >= SHUT_FROM and bool(holding(findings))


def hold_back(standing: Standing, steps: Sequence[StepRule], findings: Iterable[Found]) -> Standing:
    """Take from a standing what a finding refuses. A damper that holds our gas meanwhile can only end as unsafe."""
    held = holding(findings)
    if not held:
        return standing
    late = frozenset(ORDER[SHUT_FROM:])
    late_steps = {step.key for step in steps if step.stage in late}
    outcomes = standing.outcomes - {DONE}
    if outcomes and standing.holds_gas:
        outcomes = frozenset({UNSAFE})
    return replace(
        standing,
        open=standing.open - late,
        open_steps=standing.open_steps - late_steps,
        may_close_done=False,
        outcomes=outcomes,
        held=held,
    )

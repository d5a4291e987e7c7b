"""What it means who recorded: a trainee's entries wait for another hand, the final check for another pair of eyes.

Pure, with its twin in static/js/bench/people.js; both are held to the table tests/bench/people.json, whose head says
the rules once more in words. It takes away from a standing and never gives.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from shopapp.bench.lock_rules import ORDER, StepRule
from shopapp.bench.locks import Standing

SIGNED = frozenset({"do", "reading", "unreadable", "proof", "wait end", "part", "tool", "choice", "finding"})
"""The kinds of entries that somebody countersigns; notes, signatures and closings are their own."""
BEFORE_GAS = ("strip", "charge")
RESTORED, CHECKED = "restore", "final"
AFTER_CHARGE = "prove"


@dataclass(frozen=True, slots=True)
class Hand:
    """Who recorded an entry (initials), whether it is to be countersigned; `signs`: the entry that it countersigns."""

    id: str
    who: str
    to_countersign: bool = False
    signs: str = ""

    @classmethod
    def read(cls, entry: Mapping[str, Any]) -> Hand:
        """Read an entry of a sheet document."""
        return cls(
            id=entry["id"],
            who=entry.get("who") or "",
            to_countersign=bool(entry.get("to_countersign")),
            signs=(entry.get("about") or "") if entry.get("kind") == "countersign" else "",
        )


def unsigned(hands: Iterable[Hand]) -> frozenset[str]:
    """Give the ids of the entries that wait to be countersigned."""
    hands = tuple(hands)
    signed = {hand.signs for hand in hands if hand.signs}
    return frozenset(hand.id for hand in hands if hand.to_countersign and hand.id not in signed)


def shut_by(step: StepRule, needed: frozenset[str]) -> str:
    """Give the stage that a step keeps shut while its record is not countersigned; "" for none.

    What proves zero, and all that locks the charge, shut what they lock; the charge itself shuts the proofs after it.
    """
    if step.locks in BEFORE_GAS:
        return step.locks
    charge = step.stage == "charge" and step.kind == "reading" and step.key not in needed
    return AFTER_CHARGE if charge else ""


def shut_stages(
    steps: Sequence[StepRule], satisfied: Mapping[str, str], waiting: frozenset[str]
) -> dict[str, tuple[str, ...]]:
    """Give for each stage that a missing signature keeps shut the keys of the steps that wait for it."""
    needed = frozenset(key for step in steps for key in step.needs)
    firsts = [
        (ORDER.index(stage), step.key)
        for step in steps
        if satisfied.get(step.key) in waiting and (stage := shut_by(step, needed))
    ]
    found = {stage: tuple(key for first, key in firsts if first <= at) for at, stage in enumerate(ORDER)}
    return {stage: keys for stage, keys in found.items() if keys}


def restorers(
    steps: Sequence[StepRule], satisfied: Mapping[str, str], hands: Iterable[Hand]
) -> frozenset[str]:
    """Give the initials of those by whose records the restored settings stand."""
    stand = {satisfied[step.key] for step in steps if step.stage == RESTORED and step.key in satisfied}
    return frozenset(hand.who for hand in hands if hand.id in stand)


def hold_hands(
    standing: Standing, steps: Sequence[StepRule], hands: Iterable[Hand], *, second: bool = False
) -> Standing:
    """Take from a standing what waits for another hand. `second`: who restored does not make the final check."""
    hands = tuple(hands)
    waiting = unsigned(hands)
    found = _without_own_check(standing, steps, hands) if second else standing
    shut = shut_stages(steps, found.satisfied, waiting)
    late = {step.key for step in steps if step.stage in shut and not _opens_itself(step, shut)}
    locked_by = dict(found.locked_by)
    for stage, keys in shut.items():
        locked_by[stage] = tuple(dict.fromkeys((*locked_by.get(stage, ()), *keys)))
    outcomes = found.outcomes
    if waiting & set(found.satisfied.values()):
        outcomes = outcomes - {"done"}
        if any(found.satisfied.get(step.key) in waiting for step in steps if step.locks == "strip"):
            outcomes = outcomes - {"uncharged"}
    return replace(
        found,
        open=found.open - shut.keys(),
        open_steps=found.open_steps - late,
        locked_by=locked_by,
        outcomes=outcomes,
        may_close_done=found.may_close_done and "done" in outcomes,
    )


def _opens_itself(step: StepRule, shut: Mapping[str, tuple[str, ...]]) -> bool:
    """Say whether a step locks its own stage, and no earlier one is shut: a proof that stands there may be given."""
    return step.locks == step.stage and not any(
        ORDER.index(stage) < ORDER.index(step.stage) for stage in shut
    )


def _without_own_check(standing: Standing, steps: Sequence[StepRule], hands: tuple[Hand, ...]) -> Standing:
    restored = restorers(steps, standing.satisfied, hands)
    who = {hand.id: hand.who for hand in hands}
    own = {
        step.key
        for step in steps
        if step.stage == CHECKED
        and step.required
        and who.get(standing.satisfied.get(step.key, "")) in restored
    }
    if not own:
        return standing
    missing = tuple(step.key for step in steps if step.key in own or step.key in standing.missing)
    return replace(
        standing,
        satisfied={key: pk for key, pk in standing.satisfied.items() if key not in own},
        missing=missing,
        states={**standing.states, CHECKED: "in work"},
        outcomes=standing.outcomes - {"done"},
        may_close_done=False,
    )

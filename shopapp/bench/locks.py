"""Judge a bench sheet: which stages are open, what stands, what is missing, how the job may end.

Pure: no database, no clock. The browser has the same judge in one module; both are held against the table of cases in
tests/bench/locks.json, whose head says the rules once more in words.

Records stand in the order in which they were stored. The latest current record of a step decides; one that is out of
order gives nothing, but takes away where it says that something is wrong. A stop is for ever: neither a correction nor
a later answer lifts it; the owner's release only opens the way to close the job as unsafe.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from shopapp.bench.lock_rules import AS_FOUND, NO_WORK, ORDER, UNSAFE, Record, Standing, StepRule

__all__ = ["AS_FOUND", "ORDER", "UNSAFE", "Record", "Standing", "StepRule", "judge", "out_of_order"]

_PLAIN = {"do": "do", "choice": "choice", "part": "part", "tool": "tool", "picture": "picture"}


def judge(steps: Iterable[StepRule], records: Iterable[Record]) -> Standing:
    """Judge what is recorded so far."""
    return _Sheet(tuple(steps), tuple(records)).standing()


def out_of_order(steps: Iterable[StepRule], records: Iterable[Record], key: str, corrects: str = "") -> bool:
    """Say whether an entry for the step `key` would come out of order now: stage shut, or what it needs not read.

    `corrects`: the id of the record whose reading it corrects; a slip of the pen asks for no new proofs.
    """
    sheet = _Sheet(tuple(steps), tuple(records))
    step = sheet.steps.get(key)
    if step is None:
        return False
    late = key not in sheet.standing().open_steps or not sheet.needs_met(step, len(sheet.records))
    return late or not (sheet.proved_anew(step) or sheet.slip(step, corrects, len(sheet.records)) is not None)


def is_slip(steps: Iterable[StepRule], records: Iterable[Record], key: str, corrects: str) -> bool:
    """Say whether a reading for `key` that corrects this record now is a slip of the pen, not work done again."""
    sheet = _Sheet(tuple(steps), tuple(records))
    step = sheet.steps.get(key)
    return step is not None and sheet.slip(step, corrects, len(sheet.records)) is not None


@dataclass(slots=True)
class _Hold:
    """What stops, releases and closings led to, in their order."""

    stopped: bool = False
    released: bool = False
    closed: str = ""
    stage: str = ""


@dataclass
class _Sheet:
    rules: Sequence[StepRule]
    records: Sequence[Record]
    steps: dict[str, StepRule] = field(init=False)
    current: dict[str, list[int]] = field(init=False)
    places: dict[str, int] = field(init=False)
    charges: tuple[int, ...] = field(init=False)

    def __post_init__(self) -> None:
        self.steps = {rule.key: rule for rule in self.rules}
        replaced = {record.replaces for record in self.records if record.replaces}
        self.current = {}
        for place, record in enumerate(self.records):
            if record.id not in replaced and record.key:
                self.current.setdefault(record.key, []).append(place)
        self.places = {record.id: place for place, record in enumerate(self.records)}
        self.charges = tuple(place for place in range(len(self.records)) if self._lets_in(place))

    def standing(self) -> Standing:
        hold = self._hold()
        stands = {key: place for key in self.steps if (place := self._stands(key)) is not None}
        locked_by = self._locked_by(stands)
        missing = tuple(r.key for r in self.rules if r.required and r.key not in stands)
        shut = hold.stopped or bool(hold.closed)
        may_close_done = not shut and not missing
        waiting = frozenset(key for key in self.steps if key not in stands and self._wait_runs(key))
        stage = self._stage(missing, hold)
        return Standing(
            open=frozenset() if shut else frozenset(ORDER) - locked_by.keys(),
            open_steps=frozenset() if shut else self._open_steps(locked_by),
            stage=stage,
            stopped=hold.stopped,
            released=hold.released,
            closed=hold.closed,
            may_close_done=may_close_done,
            missing=missing,
            outcomes=self._outcomes(stands, may_close_done, hold),
            states=self._states(stands, waiting, stage if hold.stopped else ""),
            satisfied={key: self.records[place].id for key, place in stands.items()},
            locked_by=locked_by,
            waiting=waiting,
            holds_gas=self._holds_gas(stands),
        )

    def needs_met(self, step: StepRule, before: int) -> bool:
        """Say whether one of the readings that `step` needs stands, and stood before the place `before`."""
        found = [self._stands(key) for key in step.needs]
        return not step.needs or any(place is not None and place < before for place in found)

    def _stands(self, key: str) -> int | None:
        """Give the place of the record by which a step stands; None where it does not."""
        step = self.steps.get(key)
        if step is None:
            return None
        if step.kind == "wait":
            return self._wait_ended(key)
        for place in reversed(self.current.get(key, ())):
            record = self.records[place]
            good = self._good(step, record)
            if good is None or (good and record.out_of_order):
                continue
            # What was read before its need was read anew (a corrected body temperature) was judged by an old figure.
            return place if good and self.needs_met(step, place) and self._fresh(step, place) else None
        return None

    def proved_anew(self, step: StepRule) -> bool:
        """Say whether work at `step` has the proofs that it needs since gas was let in."""
        asks = self._before_gas(step) or self._is_charge(step)
        if not self.charges or not asks or step.kind == "picture":
            return True
        last = ORDER.index(step.locks) - 1 if step.kind == "proof" and step.locks else ORDER.index(step.stage)
        proofs = [r for r in self.rules if r.kind == "proof" and r.locks and ORDER.index(r.locks) <= last]
        return all((place := self._stands(r.key)) is not None and place > self.charges[-1] for r in proofs)

    def _is_charge(self, step: StepRule) -> bool:
        return step.stage == "charge" and step.kind == "reading" and not self._is_need(step.key)

    def _lets_in(self, place: int) -> bool:
        record = self.records[place]
        step = self.steps.get(record.key)
        charge = step is not None and record.kind == "reading" and self._is_charge(step)
        return charge and self._meant(place) == place

    def slip(self, step: StepRule, corrects: str, before: int) -> int | None:
        """Give the place of a reading as built whose correction at `before` is a slip of the pen: the same work.

        Only while nothing but the same stage was recorded since. One out of order, or past an absolute limit, was
        no good reading: whoever follows it has done the work again.
        """
        at = self.places.get(corrects) if step.kind == "reading" and step.phase not in AS_FOUND else None
        if at is None or at >= before:
            return None
        old = self.records[at]
        good = old.kind == "reading" and old.key == step.key
        if not good or old.out_of_order or old.outside == "absolute":
            return None
        since = self.records[at + 1 : before]
        return at if all(self._within(step, record) for record in since) else None

    def _within(self, step: StepRule, record: Record) -> bool:
        """Say whether a record is of the same stage as `step`, of another step than it, and stops nothing."""
        other = self.steps.get(record.key)
        if record.kind in NO_WORK:
            return True
        return (
            other is not None
            and other.stage == step.stage
            and other.key != step.key
            and record.answer not in other.stops
        )

    def _meant(self, place: int) -> int:
        """Give the place of the reading that the one at `place` corrects by a slip of the pen; its own otherwise."""
        record = self.records[place]
        step = self.steps.get(record.key)
        while step is not None and record.kind == "reading" and record.replaces:
            at = self.slip(step, record.replaces, place)
            if at is None:
                break
            place, record = at, self.records[at]
        return place

    def _before_gas(self, step: StepRule) -> bool:
        stripped = ORDER.index("strip") <= ORDER.index(step.stage) < ORDER.index("charge")
        return stripped or (step.kind == "proof" and step.locks == "charge")

    def _fresh(self, step: StepRule, place: int) -> bool:
        """Say whether a proof is not overtaken by gas let in since, nor given before what it looks at."""
        if step.stage == "prove" or self._shuts_gas_in(step):
            return not self.charges or place > self.charges[-1]
        if step.kind != "proof" or not step.locks:
            return True
        later = [charge for charge in self.charges if charge > place]
        if len(later) > 1 or (later and any(self._works(at) for at in range(later[0], len(self.records)))):
            return False
        return step.locks != "charge" or self._built_before(place)

    def _shuts_gas_in(self, step: StepRule) -> bool:
        """Say whether a step of the charge stage follows the charge (the valve closed): it is done after each one."""
        if step.stage != "charge" or step.locks or step.kind in ("reading", "tool"):
            return False
        before = self.rules[: self.rules.index(step)]
        return any(self._is_charge(rule) for rule in before)

    def _works(self, place: int) -> bool:
        record = self.records[place]
        step = self.steps.get(record.key)
        return (
            step is not None
            and record.kind not in NO_WORK
            and step.kind != "proof"
            and self._before_gas(step)
        )

    def _built_before(self, place: int) -> bool:
        """Say whether the body was closed and the IFP set before the place of a proof before gas."""
        asked = [r for r in self.rules if r.stage in ("close", "ifp") and r.required]
        found = [self._stands(rule.key) for rule in asked if rule.kind not in ("proof", "picture")]
        return all(at is not None and self._meant(at) < place for at in found)

    def _good(self, step: StepRule, record: Record) -> bool | None:
        """Say whether a record is what the step asks for; None where it says nothing about it (a note)."""
        if step.kind == "reading":
            if record.kind == "unreadable":
                return not step.must_read and not self._is_need(step.key)
            if record.kind == "reading":
                return step.phase in AS_FOUND or record.outside != "absolute"
            return None
        if step.kind == "proof":
            return record.answer in step.passes if record.kind == "proof" else None
        if step.kind == "choice" and record.kind == "choice" and step.passes:
            return record.answer in step.passes
        return True if _PLAIN.get(step.kind) == record.kind else None

    def _wait_ended(self, key: str) -> int | None:
        end = None
        for place in reversed(self.current.get(key, ())):
            record = self.records[place]
            if record.out_of_order:
                continue
            if record.kind == "wait":
                return end if self._fresh(self.steps[key], place) else None
            if record.kind == "wait end" and end is None:
                end = place
        return None

    def _wait_runs(self, key: str) -> bool:
        step = self.steps[key]
        told = (self.records[place] for place in self.current.get(key, ()))
        found = [record for record in told if not record.out_of_order and record.kind not in NO_WORK]
        return step.kind == "wait" and bool(found) and found[-1].kind == "wait"

    def _locked_by(self, stands: Mapping[str, int]) -> dict[str, tuple[str, ...]]:
        locks = [(ORDER.index(r.locks), r.key) for r in self.rules if r.locks and r.key not in stands]
        found: dict[str, tuple[str, ...]] = {}
        for place, stage in enumerate(ORDER):
            keys = tuple(key for first, key in locks if first <= place)
            if keys:
                found[stage] = keys
        return found

    def _open_steps(self, locked_by: Mapping[str, tuple[str, ...]]) -> frozenset[str]:
        return frozenset(
            key
            for key, rule in self.steps.items()
            if rule.stage not in locked_by
            or (self._locks_own(rule) and self._only_from_within(rule.stage, locked_by))
        )

    def _locks_own(self, rule: StepRule) -> bool:
        return rule.locks == rule.stage

    def _only_from_within(self, stage: str, locked_by: Mapping[str, tuple[str, ...]]) -> bool:
        return all(self.steps[key].stage == stage for key in locked_by[stage])

    def _hold(self) -> _Hold:
        hold = _Hold()
        for record in self.records:
            step = self.steps.get(record.key)
            if record.kind == "finding":
                # Unsafe to use, and found after it was called done: it holds gas and must not go.
                hold = _Hold(stopped=True) if hold.closed == "done" and record.answer == UNSAFE else hold
            elif step is not None and record.answer in step.stops:
                hold = _Hold(stopped=True, stage=step.stage)
            elif record.kind == "release":
                hold.released = hold.stopped
            elif record.kind == "close" and record.answer == UNSAFE and not hold.released:
                hold = _Hold(stopped=True)
            elif record.kind == "close":
                hold.closed = record.answer
        return hold

    def _outcomes(self, stands: Mapping[str, int], may_close_done: bool, hold: _Hold) -> frozenset[str]:
        if hold.closed:
            return frozenset()
        if hold.stopped:
            return frozenset({UNSAFE} if hold.released else ())
        open_proofs = [r for r in self.rules if r.kind == "proof" and r.locks and r.key not in stands]
        if any(self._touched(proof.locks) for proof in open_proofs) or self._unsafe_figure(stands):
            return frozenset({UNSAFE})
        found = {"unrepaired", "not serviceable", UNSAFE}
        if may_close_done:
            found.add("done")
        before_gas = [proof for proof in open_proofs if ORDER.index(proof.locks) < ORDER.index("charge")]
        zeros = [rule for rule in self.rules if rule.kind == "proof" and rule.locks == "strip"]
        # Where nothing is opened, nobody knows what is in it.
        if not before_gas and not self._holds_gas(stands) and (zeros or not self.rules):
            found.add("uncharged")
        return frozenset(found)

    def _touched(self, stage: str) -> bool:
        """Say whether work of this stage or a later one is recorded, in order or not, taken back or not.

        A proof and a reading that only serves another are no work.
        """
        first = ORDER.index(stage)
        return any(
            ORDER.index(rule.stage) >= first and rule.kind != "proof" and not self._is_need(rule.key)
            for rule in (self.steps.get(r.key) for r in self.records if r.kind not in NO_WORK)
            if rule is not None
        )

    def _unsafe_figure(self, stands: Mapping[str, int]) -> bool:
        """Say whether it holds gas while a figure or a part is no good, zero not proved since."""
        attempts = [at for rule in self.rules if (at := self._attempt(rule)) is not None]
        if not self.charges or not attempts:
            return False
        return self._zero(stands) < max(*attempts, self.charges[-1])

    def _zero(self, stands: Mapping[str, int]) -> int:
        """Give the place of the last proof of zero that stands, −1 for none."""
        proofs = [r.key for r in self.rules if r.locks == "strip" and r.kind == "proof"]
        return max((stands[key] for key in proofs if key in stands), default=-1)

    def _attempt(self, step: StepRule) -> int | None:
        """Give the place of the attempt that a figure as built, or the unfit answer that a part, now rests on."""
        if step.kind == "choice" and step.locks == "charge":
            answers = [
                at for at in self.current.get(step.key, ()) if self._good(step, self.records[at]) is False
            ]
            return answers[-1] if answers and self._stands(step.key) is None else None
        if step.kind != "reading" or step.phase in AS_FOUND:
            return None
        for place in reversed(self.current.get(step.key, ())):
            record = self.records[place]
            if record.kind == "reading" and (record.outside == "absolute" or not record.out_of_order):
                return place if record.outside == "absolute" else None
        return None

    def _holds_gas(self, stands: Mapping[str, int]) -> bool:
        """Say whether gas was let in and zero is not proved since, whatever became of the reading."""
        return bool(self.charges) and self._zero(stands) < self.charges[-1]

    def _is_need(self, key: str) -> bool:
        """Say whether a reading only serves another (the body's temperature for the charge)."""
        return any(key in rule.needs for rule in self.rules)

    def _stage(self, missing: Sequence[str], hold: _Hold) -> str:
        if not self.records:
            return ""
        if hold.stopped and hold.stage:
            return hold.stage
        stages = [self.steps[key].stage for key in missing] or [r.stage for r in self.rules]
        places = sorted(ORDER.index(stage) for stage in stages)
        return ORDER[places[0] if missing else places[-1]] if places else ""

    def _states(self, stands: Mapping[str, int], waiting: frozenset[str], stopped_at: str) -> dict[str, str]:
        found = {}
        for stage in dict.fromkeys(rule.stage for rule in self.rules):
            rules = [r for r in self.rules if r.stage == stage]
            asked = [r for r in rules if r.required]
            touched = any(self.current.get(rule.key) for rule in rules)
            if stage == stopped_at:
                found[stage] = "stopped"
            elif any(rule.key in waiting for rule in rules):
                found[stage] = "waiting"
            elif (asked or touched) and all(rule.key in stands for rule in asked):
                found[stage] = "done"
            else:
                found[stage] = "in work" if touched else "planned"
        return found

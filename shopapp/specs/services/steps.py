"""The steps of a draft: added, changed, moved, taken out. What would take a safety stop away is refused at once.

Each verb takes the draft's row first (one conditional UPDATE): of two people one waits for the other, and a released
or discarded draft is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.db.models import Case, F, IntegerField, Value, When
from django.utils.translation import gettext as _

from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused, Stale
from shopapp.specs.models import STAGES, Procedure, Step
from shopapp.specs.services.procedure_docs import document_of, fields_of, seen
from shopapp.specs.services.procedure_floor import all_faults, faults_at
from shopapp.specs.services.procedure_rules import OF_ONE_STEP, known_faults

if TYPE_CHECKING:
    from shopapp.people.models import Person

ORDER = {code: number for number, (code, _name) in enumerate(STAGES)}
MOST_STEPS = 200
APART = 10_000
"""Places far from any that is taken: a place stands once at any moment, also in the middle of a change."""
FREE_WORDS = ("name", "text", "own_caution", "options", "position", "purpose")
"""Never noted in an act, which stays for ever: what somebody wrote may name people."""


def take_draft(procedure: Procedure, *, revision: int | None = None) -> Procedure:
    """Take the draft's row and raise its revision; refuse one that is released, gone, or not as it was seen."""
    rows = Procedure.objects.filter(pk=procedure.pk, released_at__isnull=True)
    hit = (rows if revision is None else rows.filter(revision=revision)).update(revision=F("revision") + 1)
    now = Procedure.objects.filter(pk=procedure.pk).first()
    if now is None:
        raise Refused(_("This draft was discarded by somebody. Begin a new one."))
    if now.released_at is not None:
        raise Refused(
            _("%(procedure)s is released and frozen. Begin its next version instead.") % {"procedure": now}
        )
    if not hit:
        words = _(
            "%(what)s was changed by somebody else while you had it open. Nothing of yours was stored. "
            "Look at it again, then enter your change once more."
        )
        raise Stale(words % {"what": now})
    return now


def add_step(
    *, procedure: Procedure, fields: Mapping[str, Any], by: Person, at: datetime, call: Call,
    within: Doing | None = None,
) -> Step:  # fmt: skip
    """Add a step at the end of its stage; its short name is made here."""
    with acts.doing("add_step", call=call, by=by, at=at, within=within) as act:
        draft = take_draft(procedure)
        steps = list(draft.steps.order_by("order"))
        if len(steps) >= MOST_STEPS:
            raise Refused(_("A sheet of more than %d steps helps nobody. Take some out first.") % MOST_STEPS)
        step = Step(procedure=draft, order=APART + MOST_STEPS, **{**fields, "code": _code(fields, steps)})
        _check_alone(step, document_of(draft))
        step.save(force_insert=True)
        _lay([*steps, step])
        act.about("procedure", draft.pk)
        act.change("step", "", step.code)
        act.result = {"procedure": draft.pk, "step": step.pk}
    return step


def change_step(
    *, step: Step, was: str, fields: Mapping[str, Any], by: Person, at: datetime, call: Call,
    within: Doing | None = None,
) -> Step:  # fmt: skip
    """Change a step that still is as it was seen (`was`, by `procedure_docs.seen`); `Stale` where it is not."""
    with acts.doing("change_step", call=call, by=by, at=at, within=within) as act:
        draft = take_draft(step.procedure)
        now = _still_there(step, was)
        before = document_of(draft)
        old, moved = fields_of(now), fields.get("stage", now.stage) != now.stage
        for name, value in {**fields, "code": now.code}.items():
            setattr(now, name, value)
        _check_alone(now, before)
        _check_stops(before, [fields_of(now) if one["code"] == now.code else one for one in before["steps"]])
        now.save()
        if moved:
            _lay([*draft.steps.exclude(pk=now.pk).order_by("order"), now])
        act.about("procedure", draft.pk)
        for name, value in fields_of(now).items():
            act.change(f"{now.code}: {name}", old[name], value, personal=name in FREE_WORDS)
        act.result = {"procedure": draft.pk, "step": now.pk}
    return now


def move_step(
    *, step: Step, by_places: int, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Step:
    """Move a step up (-1) or down (1) inside its stage; at the stage's end nothing is left to do and that is said."""
    with acts.doing("move_step", call=call, by=by, at=at, within=within) as act:
        draft = take_draft(step.procedure)
        now = _still_there(step, None)
        steps = list(draft.steps.order_by("order"))
        place = next(number for number, each in enumerate(steps) if each.pk == now.pk)
        other = place + (1 if by_places > 0 else -1)
        if not 0 <= other < len(steps) or steps[other].stage != now.stage:
            raise Refused(_("“%s” stands at the end of its stage already.") % now.name)
        before = document_of(draft)
        steps[place], steps[other] = steps[other], steps[place]
        _check_stops(before, [fields_of(each) for each in steps])
        _lay(steps)
        act.about("procedure", draft.pk)
        act.change(f"{now.code}: order", place + 1, other + 1)
        act.result = {"procedure": draft.pk, "step": now.pk}
    return now


def remove_step(
    *, step: Step, was: str, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Procedure:
    """Take a step out of a draft; refuse where it is a safety stop, or holds one up."""
    with acts.doing("remove_step", call=call, by=by, at=at, within=within) as act:
        draft = take_draft(step.procedure)
        now = _still_there(step, was)
        before = document_of(draft)
        _check_stops(before, [one for one in before["steps"] if one["code"] != now.code])
        Step.objects.filter(pk=now.pk).delete()
        act.about("procedure", draft.pk)
        act.change("step", now.code, "")
        act.result = {"procedure": draft.pk}
    return draft


def _still_there(step: Step, was: str | None) -> Step:
    """Read a step anew, now that nobody else writes in its draft."""
    now = Step.objects.select_related("procedure").filter(pk=step.pk).first()
    if now is None:
        raise Refused(_("Somebody has taken this step out in the meantime. Nothing of yours was stored."))
    if was is not None and seen(now) != was:
        words = _(
            "Somebody else has changed this step while you had it open. Nothing of yours was stored yet."
        )
        raise Stale(words)
    return now


def _code(fields: Mapping[str, Any], steps: list[Step]) -> str:
    """Make a short name that no other step of the draft bears."""
    taken = {step.code for step in steps}
    stem = str(fields.get("stage", "step")).replace(" ", "-")
    return next(code for n in range(1, MOST_STEPS + 2) if (code := f"{stem}-own-{n}") not in taken)


def _check_alone(step: Step, document: Mapping[str, Any]) -> None:
    """Refuse a step that breaks a rule of its own, with the first sentence."""
    said = fields_of(step)
    found = list(known_faults(said)) or [fault for check in OF_ONE_STEP for fault in check(said)]
    for fault in found or faults_at(said, document):
        raise Refused(fault.sentence, field="steps")


def _check_stops(before: Mapping[str, Any], steps: list[dict[str, Any]]) -> None:
    """Refuse a change that takes a safety stop away: one after which more is missing than before."""
    missing = [fault.sentence for fault in all_faults(before) if fault.stop]
    after = {**before, "steps": sorted(steps, key=lambda one: ORDER[one["stage"]])}
    found = [fault.sentence for fault in all_faults(after) if fault.stop]
    # Counted as well: a step with a fault that is given another name has the same fault in other words.
    if len(found) > len(missing):
        raise Refused(next(sentence for sentence in found if sentence not in missing), field="steps")


def _lay(steps: list[Step]) -> None:
    """Number the steps 1, 2, … by stage and inside a stage as handed in: two UPDATEs, however many steps moved."""
    steps = sorted(steps, key=lambda step: ORDER[step.stage])
    own = Step.objects.filter(pk__in=[step.pk for step in steps])
    own.filter(order__lt=APART).update(order=F("order") + APART)
    places = [When(pk=step.pk, then=Value(number)) for number, step in enumerate(steps, 1)]
    own.update(order=Case(*places, output_field=IntegerField()))

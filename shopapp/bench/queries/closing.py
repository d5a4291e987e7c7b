"""How a job may end now, and in sentences why not otherwise."""

from __future__ import annotations

from django.utils.translation import gettext as _

from shopapp.bench.locks import UNSAFE
from shopapp.bench.queries.reading import Sheet
from shopapp.orders.models import Job

MOST_NAMED = 6


def outcome_words(outcome: str) -> str:
    """Say an outcome as the button does."""
    return {
        "done": _("done"),
        "unrepaired": _("returned unrepaired"),
        "uncharged": _("returned uncharged"),
        "not serviceable": _("not serviceable"),
        UNSAFE: _("stopped unsafe"),
    }[outcome]


def why_not(sheet: Sheet, outcome: str) -> list[str]:
    """Say why a job cannot end so now; an empty list where it can."""
    standing = sheet.standing
    if outcome in standing.outcomes:
        return _no_procedure(sheet.job) if outcome == Job.Outcome.DONE else []
    if standing.closed:
        return [_("This job is closed: %s.") % outcome_words(standing.closed)]
    if standing.stopped and not standing.released:
        return [
            _(
                "This damper is stopped as unsafe. Only the owner releases it, saying who made it safe and how."
            )
        ]
    if standing.stopped:
        return [_("This damper was stopped as unsafe: it can only be closed as that.")]
    if standing.outcomes == {UNSAFE}:
        return [
            _(
                "Work is recorded past a proof that does not stand. Give the proof, or stop the damper as unsafe: %s."
            )
            % ", ".join(_open_proofs(sheet))
        ]
    if outcome == Job.Outcome.DONE:
        return [_("Not done yet: %s.") % _names(sheet, standing.missing)]
    if outcome == Job.Outcome.UNCHARGED:
        return [_("Zero pressure is not proved, or the damper is charged: it cannot be called uncharged.")]
    return [_("This job cannot end so.")]


def nothing_proves(job: Job) -> bool:
    """Say whether the work type asks for a procedure and the job has none: it is never "done"."""
    return job.procedure_id is None and bool(job.work_type.procedure_name)


def _no_procedure(job: Job) -> list[str]:
    if not nothing_proves(job):
        return []
    return [
        _(
            "There is no procedure for this damper, so nothing proves the work. Choose another way for it to end."
        )
    ]


def _open_proofs(sheet: Sheet) -> list[str]:
    stands = sheet.standing.satisfied
    return [s.name for s in sheet.steps if s.step.kind == "proof" and s.step.locks and s.key not in stands]


def _names(sheet: Sheet, keys: tuple[str, ...]) -> str:
    names = [sheet.by_key[key].name for key in keys[:MOST_NAMED]]
    more = len(keys) - len(names)
    return ", ".join(names) + (_(" and %s more") % more if more else "")

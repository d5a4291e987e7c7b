"""How a job may end now, and in sentences why not otherwise."""

from __future__ import annotations

from django.utils.translation import gettext as _

from shopapp.bench.locks import UNSAFE
from shopapp.bench.queries.findings import keeps_gas_out, short_words
from shopapp.bench.queries.reading import Sheet
from shopapp.bench.queries.restoring import unrestored_words
from shopapp.bench.queries.stacks import unsettled_words
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
    if standing.held and (outcome == Job.Outcome.DONE or standing.outcomes == {UNSAFE}):
        return held_words(sheet)
    if standing.outcomes == {UNSAFE}:
        return [
            _(
                "Work is recorded past a proof that does not stand. Give the proof, or stop the damper as unsafe: %s."
            )
            % ", ".join(_open_proofs(sheet))
        ]
    if outcome == Job.Outcome.DONE:
        return _not_done(sheet)
    if outcome == Job.Outcome.UNCHARGED:
        return [_("Zero pressure is not proved, or the damper is charged: it cannot be called uncharged.")]
    return [_("This job cannot end so.")]


def held_words(sheet: Sheet) -> list[str]:
    """Say which findings refuse the gas and the end as done, and what would let go; [] where none does."""
    said = []
    for row in sheet.findings:
        if not keeps_gas_out(row):
            continue
        if row.answer == "no":
            words = _("Finding %s is unsafe to use and declined: the damper is not charged and not done.")
        elif row.answer == "yes":
            words = _("Finding %s is unsafe to use. The customer agreed; record here that it was put right.")
        else:
            words = _(
                "Finding %s is unsafe to use. The front desk asks the customer; then it is put right and recorded."
            )
        said.append(words % short_words(row))
    if said and sheet.standing.holds_gas:
        said.append(_("The damper holds gas: prove zero pressure, or stop it as unsafe."))
    return said


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


def _not_done(sheet: Sheet) -> list[str]:
    """Say what is missing, and whose entries wait for another hand."""
    waiting = tuple(key for key, pk in sheet.standing.satisfied.items() if pk in sheet.unsigned)
    said = []
    if sheet.standing.missing:
        said.append(_("Not done yet: %s.") % _names(sheet, sheet.standing.missing))
    if waiting:
        said.append(_("To be countersigned: %s.") % _names(sheet, waiting))
    said += unsettled_words(sheet)
    said += unrestored_words(sheet)
    return said


def _open_proofs(sheet: Sheet) -> list[str]:
    stands = sheet.standing.satisfied
    return [s.name for s in sheet.steps if s.step.kind == "proof" and s.step.locks and s.key not in stands]


def _names(sheet: Sheet, keys: tuple[str, ...]) -> str:
    names = [sheet.by_key[key].name for key in keys[:MOST_NAMED]]
    more = len(keys) - len(names)
    return ", ".join(names) + (_(" and %s more") % more if more else "")

"""Jobs that ended otherwise than done: what their lines cost is decided by a person, and the invoice keeps it."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from django.utils import translation
from django.utils.translation import gettext as _

from shopapp.money.queries import CHARGE, LATER, NO_CHARGE
from shopapp.orders.models import Job, OrderLine
from shopapp.shop.services.acts import Doing, Refused

LONGEST_WHAT = 200


def chosen_jobs(jobs: Mapping[int, Job], chosen: set[int], endings: Mapping[int, str]) -> set[int]:
    """Give the ids of the jobs to invoice; refuse one that ended otherwise than done and is not decided on.

    `jobs` are those of the order, `chosen` what was asked for, `endings` says of a job's id CHARGE, NO_CHARGE or LATER.
    """
    for pk, ending in endings.items():
        undone = pk in jobs and jobs[pk].outcome not in ("", Job.Outcome.DONE)
        if not undone or ending not in (CHARGE, NO_CHARGE, LATER):
            raise Refused(_("Say of each job that was not done whether it is charged."), field="jobs")
    decided = {pk for pk, ending in endings.items() if ending != LATER}
    wanted = (chosen | decided) - (endings.keys() - decided)
    for pk in sorted(wanted - decided):
        if jobs[pk].state == Job.State.DONE and jobs[pk].outcome != Job.Outcome.DONE:
            words = _("Job %(job)s ended as “%(ended)s”. Say whether it is charged.")
            named = {"job": jobs[pk].number, "ended": jobs[pk].get_outcome_display()}
            raise Refused(words % named, field=f"ended_{pk}")
    return wanted


def ending_of(line: OrderLine, endings: Mapping[int, str]) -> str:
    """Give what was decided of a line's job, or "" where the job was done or the line is the order's own."""
    job = line.job
    if job is None or job.outcome == Job.Outcome.DONE:
        return ""
    return endings.get(job.pk, "")


def allowance_of(net: Decimal, ending: str) -> Decimal:
    """Give what is let off a line: all of it where it is not charged."""
    return net if ending == NO_CHARGE else Decimal(0)


def worded(line: OrderLine, ending: str, language: str) -> str:
    """Give a line's words with how its job ended and what was decided, in the buyer's language, within its length."""
    if not ending or line.job is None:
        return line.what
    with translation.override(language):
        decided = _("not charged") if ending == NO_CHARGE else _("charged")
        tail = f" · {line.job.get_outcome_display()}, {decided}"
    return line.what[: LONGEST_WHAT - len(tail)] + tail


def note(act: Doing, jobs: Mapping[int, Job], endings: Mapping[int, str]) -> None:
    """Note in the act what was decided of each job."""
    for pk, ending in sorted(endings.items()):
        act.change(f"job {jobs[pk].number}", jobs[pk].outcome, ending)

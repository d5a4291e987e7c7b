"""Close and release: done when every required step stands; the other ways to end with words why; never past a stop."""

from __future__ import annotations

from datetime import date

from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.bench.locks import UNSAFE, Standing
from shopapp.bench.models import Entry
from shopapp.bench.queries.closing import why_not
from shopapp.bench.services.causes import keep_cause
from shopapp.bench.services.draft import Recording
from shopapp.bench.services.put_back import put_back
from shopapp.calc import usage
from shopapp.orders.models import Job
from shopapp.papers import kinds as paper_kinds
from shopapp.shop.services.acts import Refused
from shopapp.specs.queries import figure, middle
from shopapp.tools import checkouts

REPORT = "rebuild report"


def close(recording: Recording) -> None:
    """Close the job with its outcome. *Unsafe* without the owner's release stops it instead."""
    outcome, sheet = recording.entry.outcome, recording.sheet
    job = sheet.job
    if job.state == Job.State.VOID or job.handed_over_at is not None:
        raise Refused(_("This job is over: it cannot be closed again."))
    if outcome not in Job.Outcome.values:
        raise Refused(_("Choose how the job ends."), field="outcome")
    refused = why_not(sheet, outcome)
    if refused:
        raise Refused(" ".join(refused), field="outcome")
    if not recording.entry.words and (outcome != Job.Outcome.DONE or not sheet.steps):
        raise Refused(_("Say in words why the job ends like this: it stands on the report."), field="words")
    recording.payload["outcome"] = outcome
    if outcome == UNSAFE and not _released(sheet.standing):
        return
    keep_cause(recording)
    put_back(recording)
    checkouts.give_back_of(job=job, by=recording.by, at=recording.at)
    recording.then.append(lambda row: _after(recording, row))


def release(recording: Recording) -> None:
    """Release a stopped job to be closed as unsafe; no stage opens again."""
    standing = recording.sheet.standing
    if "owner" not in recording.by.roles:
        raise Refused(_("Only the owner releases a damper that is stopped as unsafe."))
    if not standing.stopped or standing.closed:
        raise Refused(_("This damper is not stopped: there is nothing to release."))
    if standing.released:
        raise Refused(_("This damper is released already. It can be closed as unsafe."))
    if not recording.entry.words:
        raise Refused(_("Say who made it safe and how."), field="words")


def _released(standing: Standing) -> bool:
    return standing.stopped and standing.released


def _after(recording: Recording, row: Entry) -> None:
    """Note when the next service is due, and plan the report."""
    job = recording.job
    if job.outcome == Job.Outcome.DONE:
        job.next_due = next_due(job, timezone.localdate(recording.at))
        job.save(update_fields=["next_due"])
    if REPORT in paper_kinds.REGISTRY:
        from shopapp.bench import report

        report.issue_report(job=job, act=recording.act, at=recording.at)


def next_due(job: Job, closed_on: date) -> date | None:
    """Give the next service by months: the sheet's interval, else that of the kind of work.

    None for a kind of work without an interval (an inspection): it is no service.
    """
    months = job.work_type.interval_months
    if not months:
        return None
    row = figure(job.spec, "interval months") if job.spec is not None else None
    if row is not None:
        given = middle(row.low_si, row.target_si, row.high_si)
        months = round(given) if given else months
    due = usage.next_due(
        serviced_on=closed_on, distance_m_at_service=None, running_s_at_service=None, latest_on=closed_on,
        distance_m=None, running_s=None, distance_per_day=None, running_per_day=None,
        interval=usage.Interval(months=months),
    )  # fmt: skip
    return due.on

"""Why a damper came back: asked when its job is closed, with the stage or the lot by name."""

from __future__ import annotations

from django.utils.translation import gettext as _

from shopapp.bench.queries.causes import lots_of
from shopapp.bench.services.draft import Recording
from shopapp.orders.models import Job
from shopapp.shop.services.acts import Refused
from shopapp.specs.models import STAGES


def keep_cause(recording: Recording) -> None:
    """Keep the cause of a comeback with its closing; a job that is none takes none."""
    entry, job = recording.entry, recording.job
    if job.comeback_of is None:
        if entry.cause:
            raise Refused(_("This damper did not come back: there is no cause to name."), field="cause")
        return
    if entry.cause not in Job.Cause.values:
        words = _(
            "Say why the damper came back from order %s: a slip, a stage, a lot, its use, something else."
        )
        raise Refused(words % job.comeback_of.order.number, field="cause")
    recording.payload["cause"] = entry.cause
    if entry.cause == Job.Cause.STAGE:
        _keep_stage(recording)
    if entry.cause == Job.Cause.LOT:
        _keep_lot(recording)


def _keep_stage(recording: Recording) -> None:
    if recording.entry.stage not in dict(STAGES):
        raise Refused(_("Name the stage of the work that was the cause."), field="stage")
    recording.payload["stage"] = recording.entry.stage


def _keep_lot(recording: Recording) -> None:
    """Keep which of the lots that went into the damper the first time was the cause."""
    lots = {lot.pk: lot for lot in lots_of(recording.job)}
    named = [row.lot for row in recording.entry.lots]
    if len(named) != 1 or named[0] not in lots:
        raise Refused(_("Name the lot that was the cause, one of those fitted the first time."), field="lots")
    recording.payload["lot"] = named[0]

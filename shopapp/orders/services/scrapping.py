"""Scrapping a damper on its customer's word: it leaves the shop for good, and nothing more is due for it."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.dampers import services as dampers
from shopapp.orders.models import Job
from shopapp.orders.queries import SCRAPPABLE
from shopapp.orders.services.changing import record_work_consent
from shopapp.orders.services.staying import end_stays
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.people.models import Person


def scrap_job(
    *, job: Job, who: str, how: str, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Job:
    """Scrap the damper of a closed job that could not be made good; `who` of the customer's side said so, and `how`.

    One that was stopped unsafe is closed after the owner's release alone, so nothing under pressure is thrown away.
    """
    with acts.doing("scrap_job", call=call, by=by, at=at, within=within) as act:
        here = Job.objects.filter(
            pk=job.pk, state=Job.State.DONE, outcome__in=SCRAPPABLE, is_open=True, handed_over_at__isnull=True
        )
        if not job.entries.filter(kind="release").exists():
            here = here.exclude(outcome=Job.Outcome.UNSAFE)
        hit = here.update(
            handed_over_at=at, handed_over_to=_("scrap"), is_open=False, revision=F("revision") + 1
        )
        job = Job.objects.select_related("order", "damper").get(pk=job.pk)
        if hit != 1:
            raise Refused(_why_not(job), field="job")
        end_stays([job.pk], act)
        record_work_consent(
            order=job.order, about="finding", about_id=f"job {job.pk}", yes=True, who=who, how=how, by=by, at=at,
            call=call, within=act,
        )  # fmt: skip
        dampers.retire_damper(damper=job.damper, by=by, at=at, call=call, within=act)
        if within is None:
            act.about("order", job.order_id)
            act.changed.append({"field": "job", "old": str(job.number), "new": "scrapped"})
            act.result = {"order": job.order_id, "number": job.order.number, "job": job.pk}
        return job


def _why_not(job: Job) -> str:
    said = {"job": f"{job.order.number}/{job.number}", "damper": str(job.damper)}
    if job.handed_over_at is not None:
        return _("Job %(job)s (%(damper)s) has left the shop already.") % said
    if job.state == Job.State.STOPPED:
        return (
            _(
                "Job %(job)s (%(damper)s) is stopped unsafe. It is scrapped after the owner released it and it was "
                "closed as unsafe."
            )
            % said
        )
    return (
        _(
            "Job %(job)s (%(damper)s) is not closed as unsafe, not serviceable or returned unrepaired: it is not "
            "scrapped."
        )
        % said
    )

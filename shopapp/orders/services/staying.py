"""A damper that stays though its job is closed: stored, left as spares, to be scrapped, waiting for a part.

It may go on into a later order without leaving the shop: that ends its stay and the job it stayed after.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.orders.models import Job, Placing, Shelf, Stay
from shopapp.shop.models import Act
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.dampers.models import Damper
    from shopapp.people.models import Person


def keep_here(
    *,
    job: Job,
    why: str,
    until: date | None = None,
    who: str,
    how: str,
    words: str = "",
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Stay:
    """Keep a closed job's damper here: `who` of the customer's side said so, and `how`; `until` a day, or further word.

    It is not waited for at the counter any more, and can be handed over, sent or scrapped at any time.
    """
    with acts.doing("keep_here", call=call, by=by, at=at, within=within) as act:
        if why not in Stay.Why.values:
            raise Refused(_("Say why it stays."), field="why")
        if not who.strip() or not how.strip():
            raise Refused(_("Say who said so, and how."), field="how" if who.strip() else "who")
        if until is not None and until < timezone.localdate(at):
            raise Refused(_("This day is over. Choose one that is to come, or none."), field="until")
        here = Job.objects.filter(pk=job.pk, state=Job.State.DONE, is_open=True, handed_over_at__isnull=True)
        hit = here.update(revision=F("revision") + 1)
        job = Job.objects.select_related("order", "damper").get(pk=job.pk)
        said = {"job": f"{job.order.number}/{job.number}", "damper": str(job.damper)}
        if hit != 1:
            raise Refused(_why_not(job) % said, field="job")
        try:
            with transaction.atomic():
                stay = Stay.objects.create(
                    job=job, why=why, until=until, who=who.strip(), how=how.strip(), words=words.strip(), by=by,
                    at=at, act_id=act.id,
                )  # fmt: skip
        except IntegrityError as broken:
            if not Stay.objects.filter(job=job, ended_at__isnull=True).exists():
                raise
            raise Refused(
                _("Job %(job)s (%(damper)s) stays already. Take that back first.") % said, field="job"
            ) from broken
        act.changed.append({"field": f"{job.number}: stay", "new": why})
        act.change("until", None, until)
        _name(act, job)
        return stay


def _why_not(job: Job) -> str:
    if job.handed_over_at is not None:
        return _("Job %(job)s (%(damper)s) has left the shop already.")
    return _(
        "Job %(job)s (%(damper)s) is not closed: it is closed at the bench before it is said that it stays."
    )


def take_stay_back(*, stay: Stay, by: Person, at: datetime, call: Call, within: Doing | None = None) -> Stay:
    """Take back that a damper stays: it is to be fetched again."""
    with acts.doing("take_stay_back", call=call, by=by, at=at, within=within) as act:
        stay = Stay.objects.select_related("job__order").get(pk=stay.pk)
        if end_stays([stay.job_id], act) != 1:
            raise Refused(_("This is taken back already, or the damper has left. Load the order again."))
        act.takes_back = Act.objects.get(pk=stay.act_id)
        act.changed.append({"field": f"{stay.job.number}: stay", "old": stay.why})
        _name(act, stay.job)
        return stay


def end_stays(jobs: Iterable[int], act: Doing) -> int:
    """End the stays of jobs by an act that runs: they leave, or are to be fetched again."""
    return Stay.objects.filter(job__in=list(jobs), ended_at__isnull=True).update(
        ended_at=act.at, ended_act_id=act.id
    )


def leave_stay(damper: Damper, act: Doing) -> Job | None:
    """Let a damper that stays leave its job for another order, of which `go_on` says which; None where none stays.

    A conditional UPDATE and the stay that it ends decide a race of two desks, or with somebody who takes the stay back.
    """
    stay = Stay.objects.select_related("job__order", "job__damper").filter(
        job__damper=damper, job__is_open=True, ended_at__isnull=True
    ).first()  # fmt: skip
    if stay is None:
        return None
    here = Job.objects.filter(pk=stay.job_id, state=Job.State.DONE, is_open=True, handed_over_at__isnull=True)
    hit = here.update(is_open=False, handed_over_at=act.at, revision=F("revision") + 1)
    if hit != 1 or end_stays([stay.job_id], act) != 1:
        raise Refused(
            _("Somebody else said at this moment that %s stays no longer. Look at it again.") % damper,
            field="dampers",
        )
    act.changed.append({"field": f"{stay.job.order.number}/{stay.job.number}: stay", "old": stay.why})
    return stay.job


def go_on(before: Job, job: Job) -> None:
    """Say in which job of a later order a damper that stayed goes on."""
    Job.objects.filter(pk=before.pk).update(went_on=job)


def back_from(job: Job, act: Doing) -> None:
    """Bring a damper back to the job from which it went on into one that is void now: it is to be fetched there.

    What was laid elsewhere meanwhile is laid there in the earlier job too.
    """
    before = Job.objects.filter(went_on=job).first()
    if before is None or act.by is None:
        return
    Job.objects.filter(pk=before.pk).update(
        went_on=None, handed_over_at=None, is_open=True, revision=F("revision") + 1
    )
    for part in Placing.Part.values:
        was, place = (str(getattr(one, f"shelf_{part}")) for one in (before, job))
        if place and place != was:
            shelf = Shelf.objects.filter(code=place).first()
            Placing.objects.create(
                job=before, part=part, was=was, place=place, shelf=shelf, by=act.by, at=act.at, act_id=act.id
            )
            Job.objects.filter(pk=before.pk).update(**{f"shelf_{part}": place})


def _name(act: Doing, job: Job) -> None:
    act.about("order", job.order_id)
    act.result = {"order": job.order_id, "number": job.order.number, "job": job.pk}

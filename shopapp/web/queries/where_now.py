"""Where a damper is now, in words: in which place, at which stage, with whom, waiting for what, or where it went.

Every page that says it asks here, for all its dampers at once: the queries do not grow with them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from django.utils import formats, timezone
from django.utils.translation import gettext as _

from shopapp.bench.queries.sheet import place_words
from shopapp.bench.queries.waiting import WaitLine, waits_of
from shopapp.dampers.models import Damper, Fitting, Ownership
from shopapp.orders.models import Job
from shopapp.orders.queries import job_state, jobs
from shopapp.orders.shelves import lies


@dataclass(frozen=True, slots=True)
class Where:
    """Where one damper is: `first` in one sentence, then what else is known; `here` while it is in the shop.

    `job` is the id of the job by which it is known, None where there is none.
    """

    here: bool
    first: str
    more: list[str] = field(default_factory=list)
    job: int | None = None


def where_now(dampers: Iterable[Damper], *, at: datetime, names: bool) -> dict[int, Where]:
    """Say of dampers by their number where they are; without `names` no customer is named (in the bay)."""
    rows = {damper.pk: damper for damper in dampers}
    here = {job.damper_id: job for job in jobs().filter(damper__in=rows, is_open=True)}
    waits = waits_of(list(here.values()), at) if here else {}
    left = _left(rows.keys() - here.keys())
    fitted = _fitted(rows.keys() - here.keys())
    owned = _owned(rows.keys() - here.keys()) if names else {}
    found = {}
    for pk, damper in rows.items():
        if pk in here:
            found[pk] = _in_the_shop(here[pk], waits.get(here[pk].pk, ()))
        else:
            outside = [words for words in (_at_customer(fitted.get(pk), owned.get(pk, "")),) if words]
            found[pk] = _outside(damper, left.get(pk), outside, names=names)
    return found


def where_is(damper: Damper, *, at: datetime, names: bool) -> Where:
    """Say of one damper where it is."""
    return where_now([damper], at=at, names=names)[damper.pk]


def _left(dampers: Iterable[int]) -> Mapping[int, Job]:
    """Give by damper the last of its jobs that are over."""
    over = Job.objects.filter(damper__in=dampers, is_open=False).select_related("order", "parcel")
    return {job.damper_id: job for job in over.order_by("order__received_at", "pk")}


def _fitted(dampers: Iterable[int]) -> Mapping[int, Fitting]:
    rows = Fitting.objects.filter(damper__in=dampers, current=True).select_related("vehicle")
    return {fitting.damper_id: fitting for fitting in rows}


def _owned(dampers: Iterable[int]) -> Mapping[int, str]:
    rows = Ownership.objects.filter(damper__in=dampers, current=True).select_related("customer__merged_into")
    return {row.damper_id: (row.customer.merged_into or row.customer).name for row in rows}


def _in_the_shop(job: Job, waits: Iterable[WaitLine]) -> Where:
    place = lies(job)
    first = _("In the shop: %s") % place if place else _("In the shop: no place is noted")
    order = _("order %s") % f"{job.order.number}/{job.number}"
    vehicle = job.order.vehicle.description if job.order.vehicle else ""
    corner = place_words(str(job.get_place_display()) if job.place else "", job.place_number)
    who = ", ".join(str(one) for one in (job.technician, job.bay) if one)
    until = getattr(job, "stay_until", None)
    stay = _("until %s") % formats.date_format(until, "j M Y") if until else ""
    more = [
        job_state(job)[1],
        stay,
        *(line.words for line in waits),
        who,
        ", ".join(filter(None, [order, vehicle, corner])),
    ]
    return Where(True, first, [words for words in more if words], job.pk)


def _outside(damper: Damper, job: Job | None, outside: list[str], *, names: bool) -> Where:
    if job is None:
        return Where(False, _("Not here: never received"), outside)
    order = _("order %s") % f"{job.order.number}/{job.number}"
    if job.handed_over_at is None:
        return Where(False, _("Not noted as here: its last job was void"), [*outside, order], job.pk)
    day = formats.date_format(timezone.localtime(job.handed_over_at), "j M Y")
    if damper.retired_at is not None:
        return Where(False, _("Scrapped on %s") % day, [order], job.pk)
    if job.parcel is not None:
        said = {"day": day, "carrier": job.parcel.carrier, "number": job.parcel.consignment}
        first = _("Sent on %(day)s with %(carrier)s, consignment %(number)s") % said
    elif names and job.handed_over_to:
        first = _("Handed over on %(day)s to %(name)s") % {"day": day, "name": job.handed_over_to}
    else:
        first = _("Handed over on %s") % day
    return Where(False, first, [*outside, order], job.pk)


def _at_customer(fitting: Fitting | None, owner: str) -> str:
    """Say on which vehicle a damper sits, as far as it is known."""
    if fitting is None:
        return _("belongs to %s") % owner if owner else ""
    corner = place_words(str(fitting.place_words or fitting.get_place_display()), fitting.number)
    said = ", ".join(filter(None, [owner, fitting.vehicle.description, corner]))
    return _("at its customer: %s") % said

"""What pages read of orders: the list, one order, the day at the desk, the state of a job in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from django.db.models import (
    Case,
    DateTimeField,
    Exists,
    F,
    Min,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Subquery,
    When,
)
from django.utils import formats, timezone
from django.utils.translation import gettext as _

from shopapp.customers.models import Customer
from shopapp.customers.queries import whole
from shopapp.orders.models import Bay, Job, OrderLine, Stay, Terms, WorkOrder, WorkType
from shopapp.shop.finding import found
from shopapp.specs.models import Step

if TYPE_CHECKING:
    from shopapp.dampers.models import Damper

PLANNED, WAITING, IN_WORK, STOPPED, DONE, VOID = "planned", "waiting", "in work", "stopped", "done", "void"

ASSIGNABLE = (Job.State.PLANNED, Job.State.IN_WORK)
"""The states of a job in which somebody may be given it."""

SCRAPPABLE = (Job.Outcome.UNSAFE, Job.Outcome.NOT_SERVICEABLE, Job.Outcome.UNREPAIRED)
"""The ends after which a damper may be scrapped on the customer's word."""

LISTED = ("number", "promised", "customer__name", "vehicle__description")
"""What a list reads of an order."""

STANDING = ("order", "number", "state", "outcome", "stage", "is_open", "handed_over_at", "went_on")
"""What says where a job stands."""


def work_types(*, retired: bool = False) -> QuerySet[WorkType]:
    """List kinds of jobs by name; retired ones only when asked."""
    rows = WorkType.objects.all() if retired else WorkType.objects.filter(retired_at__isnull=True)
    return rows.order_by("name", "pk")


def bays(*, retired: bool = False) -> QuerySet[Bay]:
    """List bays in their order; retired ones only when asked."""
    return Bay.objects.all() if retired else Bay.objects.filter(retired_at__isnull=True)


def terms_on(day: date) -> Terms | None:
    """Give the terms that hold on a day."""
    return Terms.objects.filter(since__lte=day).order_by("-version").first()


def open_job_of(damper: Damper) -> Job | None:
    """Give the open job of a damper: there is one at most. `stays` says whether it may go on into another."""
    rows = Job.objects.filter(damper=damper, is_open=True).select_related("order")
    return rows.annotate(stay_why=Subquery(_staying().values("why")[:1])).first()


def open_jobs_of(dampers: Iterable[Damper]) -> set[int]:
    """Give which of some dampers, by key, are in an open job, and do not stay here after it."""
    jobs = Job.objects.filter(damper__in=[damper.pk for damper in dampers], is_open=True)
    return set(jobs.exclude(Exists(_staying())).values_list("damper", flat=True))


def _staying() -> QuerySet[Stay]:
    """List the stays of the job that a query is about which are not over."""
    return Stay.objects.filter(job=OuterRef("pk"), ended_at__isnull=True)


def brought_along(jobs: Iterable[int]) -> list[Job]:
    """List the jobs that went on into these, and those before them, oldest last."""
    found: list[Job] = []
    keys = list(jobs)
    while keys:
        before = list(Job.objects.filter(went_on__in=keys).select_related("damper", "order"))
        found += before
        keys = [job.pk for job in before]
    return found


def begun(order: WorkOrder) -> bool:
    """Say whether work has started on any damper of an order: from then on a change says who asked for it, and why."""
    return order.jobs.exclude(state__in=[Job.State.PLANNED, Job.State.VOID]).exists()


def done_before(damper: Damper) -> int:
    """Count the jobs in which a damper was rebuilt to the end; one whose procedure opens nothing is none."""
    done = Job.objects.filter(damper=damper, state=Job.State.DONE, outcome=Job.Outcome.DONE)
    return done.filter(procedure__in=Step.objects.filter(stage="strip").values("procedure")).count()


def without_procedure(job: Job) -> str:
    """Say why a job has no procedure though its work type names one; "" where it has one or needs none."""
    if job.procedure_id is not None or not job.work_type.procedure_name:
        return ""
    if job.damper.model is None:
        return _("no procedure: model not known")
    return _("no procedure for this construction")


def jobs() -> QuerySet[Job]:
    """List jobs with what a list shows of them.

    `wait_ends`: when an open wait is over; `stay_why`: why one stays; `went_on_to`: the order in which it went on.
    """
    wait_ends = (
        Job.objects.filter(
            pk=OuterRef("pk"), entries__wait__isnull=False, entries__wait__ended_by__isnull=True
        )
        .order_by()
        .values("pk")
        .annotate(first=Min("entries__wait__ends"))
        .values("first")
    )
    return (
        Job.objects.select_related(
            "order__customer", "order__vehicle", "damper__model", "work_type", "technician", "bay"
        )
        .annotate(
            # What has left waits for nothing: of its many entries none is read.
            wait_ends=Case(When(is_open=True, then=Subquery(wait_ends)), output_field=DateTimeField()),
            stay_why=Subquery(_staying().values("why")[:1]),
            stay_until=Subquery(_staying().values("until")[:1]),
            went_on_to=F("went_on__order__number"),
        )
        .order_by("order__number", "number")
    )


def job_state(job: Job) -> tuple[str, str]:
    """Give the mark of a job (planned, waiting, in work, stopped, done or void) and its state in words.

    *Waiting* is never stored: it follows from an open wait, which `jobs()` reads into `wait_ends`.
    """
    if job.state == Job.State.VOID:
        return VOID, _("void")
    if job.went_on_id is not None:
        to = getattr(job, "went_on_to", None)
        return DONE, _("went on in order %s") % to if to else _("went on in a later order")
    if job.state == Job.State.STOPPED or job.outcome == Job.Outcome.UNSAFE:
        return STOPPED, _("stopped unsafe") if job.handed_over_at is None else _("left as unsafe")
    if job.state == Job.State.DONE:
        return DONE, _done_words(job)
    wait_ends = getattr(job, "wait_ends", None)
    if wait_ends is not None:
        return WAITING, _("waits until %s") % formats.time_format(timezone.localtime(wait_ends), "H:i")
    if job.state == Job.State.IN_WORK:
        return IN_WORK, job.get_stage_display().lower() if job.stage else _("in work")
    return PLANNED, _("planned")


def stays(job: Job) -> bool:
    """Say whether a closed damper stays here, as `jobs()` has read it: nobody waits for it at the counter."""
    return bool(getattr(job, "stay_why", ""))


def _done_words(job: Job) -> str:
    if job.handed_over_at is not None:
        return _("handed over")
    if stays(job):
        return _("stays: %s") % Stay.Why(job.stay_why).label  # type: ignore[attr-defined]
    if job.outcome == Job.Outcome.DONE:
        return _("ready")
    return str(job.get_outcome_display())


@dataclass(frozen=True, slots=True)
class ShownJob:
    """A job as a list shows it: its mark and its state in words."""

    job: Job
    mark: str
    words: str

    @property
    def may_assign(self) -> bool:
        """Say whether somebody may be given the job."""
        return self.job.state in ASSIGNABLE

    @property
    def without_procedure(self) -> str:
        """Say why the job has no procedure though its work type names one; "" where nothing is missing."""
        return without_procedure(self.job)


def shown_job(job: Job) -> ShownJob:
    """Give a job with its mark and words."""
    return ShownJob(job, *job_state(job))


def orders(
    *, text: str = "", state: str = "", customer: Customer | None = None, at: datetime | None = None
) -> QuerySet[WorkOrder]:
    """List orders, newest first; `state` is open, late (at the moment `at`) or closed."""
    rows = WorkOrder.objects.select_related("customer", "vehicle").only(*LISTED)
    still_open = Job.objects.filter(order=OuterRef("pk"), is_open=True)
    if customer is not None:
        rows = rows.filter(customer__in=whole(customer))
    if state == "open":
        rows = rows.filter(Exists(still_open))
    elif state == "late":
        rows = rows.filter(Exists(still_open), promised__lt=at)
    elif state == "closed":
        rows = rows.filter(~Exists(still_open))
    if text.strip():
        by_customer = Customer.objects.filter(found(text, target_kind="customer"))
        rows = rows.filter(found(text, target_kind="order") | Q(customer__in=by_customer))
    shown = jobs().select_related(None).only(*STANDING).order_by("order", "number")
    return rows.prefetch_related(Prefetch("jobs", queryset=shown, to_attr="shown_jobs")).order_by("-number")


@dataclass(frozen=True, slots=True)
class OrderRow:
    """An order as a list shows it; `late` counts days and is nought for one that is closed."""

    order: WorkOrder
    jobs: list[ShownJob]
    late: int


def order_rows(some: Iterable[WorkOrder], at: datetime) -> list[OrderRow]:
    """Give the lines of a list for orders that `orders()` has read."""
    rows = []
    for order in some:
        shown = [shown_job(job) for job in getattr(order, "shown_jobs", [])]
        is_open = any(one.job.is_open for one in shown)
        rows.append(OrderRow(order, shown, late_by(order.promised, at) if is_open else 0))
    return rows


def order_numbered(number: int) -> WorkOrder | None:
    """Give one order by its number, with customer, vehicle and terms."""
    return (
        WorkOrder.objects.select_related("customer", "vehicle", "terms", "received_by")
        .filter(number=number)
        .first()
    )


def order_jobs(order: WorkOrder) -> list[Job]:
    """List the jobs of one order in their order."""
    return list(jobs().filter(order=order).order_by("number"))


def order_lines(order: WorkOrder) -> QuerySet[OrderLine]:
    """List what an order bills, job by job."""
    return order.lines.select_related("job__damper").order_by("job__number", "pk")


def late_by(promised: datetime | None, at: datetime) -> int:
    """Count the days an order is late, in the shop's zone: 0 until its promised moment, then 1 on the same day."""
    if promised is None or at <= promised:
        return 0
    return max(1, (timezone.localdate(at) - timezone.localdate(promised)).days)

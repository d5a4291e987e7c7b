"""What the due subject registers: its book, and the packing slip as a paper."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from shopapp.customers import meters_read
from shopapp.due import slip_figures
from shopapp.due.models import Due, Parcel
from shopapp.due.reckoning import reckon, serviced_on
from shopapp.due.services.noting import reckon_again
from shopapp.orders.models import Job
from shopapp.papers import kinds
from shopapp.papers.models import Paper
from shopapp.shop import books
from shopapp.shop.books import Difference
from shopapp.shop.queries import this_shop


def due_book() -> Iterator[Difference]:
    """Derive every damper's next due again from the last of its handed over jobs that set one."""
    shop = this_shop()
    last: dict[int, Job] = {}
    done = Job.objects.filter(outcome=Job.Outcome.DONE, handed_over_at__isnull=False, next_due__isnull=False)
    for job in done.order_by("handed_over_at", "pk"):
        if job.went_on_id is not None and not _left_in_the_end(job):
            continue
        last[job.damper_id] = job
    reckoned = reckon(list(last.values()))
    rows = {due.damper_id: due for due in Due.objects.all()}
    for damper_id in sorted(last.keys() | rows.keys()):
        stored = rows.get(damper_id)
        newest = last.get(damper_id)
        found = None if stored is None else (stored.job_id, stored.on, stored.because, stored.serviced_on)
        derived = None
        if newest is not None:
            due = reckoned[newest.pk]
            derived = (newest.pk, due.on, due.because, serviced_on(newest, shop))
        if found != derived:
            yield Difference("due", f"damper {damper_id}", found, derived)


def _left_in_the_end(job: Job) -> bool:
    """Say whether a damper that went on in later orders was handed over in the last of them, not scrapped."""
    end = job
    while end.went_on is not None:
        end = end.went_on
    if end.handed_over_at is None:
        return False
    came_again = Job.objects.filter(damper=job.damper_id, handed_over_at__gt=end.handed_over_at).exists()
    return came_again or job.damper.retired_at is None


def parcel_book() -> Iterator[Difference]:
    """Hold of each parcel that something is in it, of its own order and gone when it went, and that it has its slip."""
    slips = set(
        Paper.objects.filter(kind=slip_figures.KIND, subject_kind="parcel").values_list(
            "subject_id", flat=True
        )
    )
    for parcel in Parcel.objects.prefetch_related("jobs").order_by("pk"):
        jobs = list(parcel.jobs.all())
        if not jobs:
            yield Difference("parcels", f"parcel {parcel.pk}", "empty", "something in it")
        for job in jobs:
            if (job.order_id, job.handed_over_at) != (parcel.order_id, parcel.at):
                yield Difference(
                    "parcels",
                    f"job {job.pk}",
                    (job.order_id, job.handed_over_at),
                    (parcel.order_id, parcel.at),
                )
        if str(parcel.pk) not in slips:
            yield Difference("parcels", f"slip of parcel {parcel.pk}", "none", "one")


books.register("due", due_book)
books.register("parcels", parcel_book)
meters_read.register(reckon_again)
kinds.register(
    slip_figures.KIND,
    title=_("Packing slip"),
    template=slip_figures.TEMPLATE,
    pdf_variant="pdf/ua-1",
    file_name=slip_figures.file_name,
)

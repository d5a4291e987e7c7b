"""Everything an order's page shows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Prefetch, QuerySet
from django.utils.translation import gettext as _

from shopapp.bench.models import Entry
from shopapp.bench.queries import went_back
from shopapp.bench.queries.made_safe import releases
from shopapp.bench.queries.pictures import Shot, of_findings, shots_of
from shopapp.due.queries import ShownSignature, signatures_of
from shopapp.money.amounts import places_of
from shopapp.money.models import Invoice, Payment
from shopapp.money.queries import OrderMoney, line_amount, order_money, shop_day
from shopapp.orders.labels import PARTS, to_label
from shopapp.orders.models import Job, OrderLine, Remark, Stay, WorkConsent, WorkOrder
from shopapp.orders.queries import ShownJob, late_by, order_jobs, order_lines, shown_job
from shopapp.papers import kinds
from shopapp.papers.models import Paper
from shopapp.papers.queries import papers_about
from shopapp.papers.services import title_of
from shopapp.shop.models import Act, Shop
from shopapp.shop.queries import history
from shopapp.web.queries.changes import told
from shopapp.web.queries.comebacks import ShownComeback, of_jobs
from shopapp.web.queries.order_findings import ShownFinding, shown_findings
from shopapp.web.queries.sent import Letter, letters_by
from shopapp.web.queries.where_now import Where, where_now


@dataclass(frozen=True, slots=True)
class ShownLine:
    """A line of the order with its net amount."""

    line: OrderLine
    net: Decimal


@dataclass(frozen=True, slots=True)
class ShownPaper:
    """A paper of the order, with which of its jobs or invoices it is about."""

    paper: Paper
    about: str

    @property
    def title(self) -> str:
        """Give the title that stands on the paper."""
        return title_of(self.paper, kinds.REGISTRY.get(self.paper.kind))


@dataclass(frozen=True, slots=True)
class ShownLetter:
    """A letter to the customer, with the paper that it carried."""

    letter: Letter
    title: str


@dataclass(frozen=True)
class OrderPage:
    """An order with its jobs, lines, sums, papers, payments, consents and history."""

    order: WorkOrder
    jobs: list[ShownJob]
    lines: list[ShownLine]
    sums: OrderMoney
    invoices: list[Invoice]
    payments: list[Payment]
    consents: QuerySet[WorkConsent]
    papers: list[ShownPaper]
    letters: list[ShownLetter]
    history: list[Act]
    made_safe: dict[int, Entry]
    findings: list[ShownFinding]
    pictures: list[tuple[Job, list[Shot]]]
    signatures: list[ShownSignature]
    comebacks: list[ShownComeback]
    went_back: list[went_back.WentBack]
    late: int
    where: dict[int, Where]
    stays: list[Stay]

    @property
    def is_open(self) -> bool:
        """Say whether any damper of the order is still here."""
        return any(shown.job.is_open for shown in self.jobs)

    @property
    def to_tag(self) -> int:
        """Count the tags of the dampers that are still here: one for each thing that a damper comes apart into."""
        return len(to_label(shown.job for shown in self.jobs)) * len(PARTS)

    @property
    def any_taken_in(self) -> bool:
        """Say whether there is a damper to give a receipt for."""
        return any(shown.job.state != Job.State.VOID for shown in self.jobs)

    @property
    def not_closed(self) -> list[str]:
        """Give the numbers of the jobs that a report of the order would leave out."""
        shut = (Job.State.DONE, Job.State.VOID)
        return [str(shown.job.number) for shown in self.jobs if shown.job.state not in shut]

    @property
    def any_closed(self) -> bool:
        """Say whether there is a closed job to report."""
        return any(shown.job.state == Job.State.DONE for shown in self.jobs)

    @property
    def to_invoice(self) -> bool:
        """Say whether a done job or the order itself has a line that is not invoiced yet."""
        done = {shown.job.pk for shown in self.jobs if shown.job.state == Job.State.DONE}
        return bool(done) and any(
            not shown.line.invoiced and (shown.line.job_id is None or shown.line.job_id in done)
            for shown in self.lines
        )

    @property
    def to_hand_over(self) -> bool:
        """Say whether a closed damper is still here; one that was stopped unsafe goes after its release alone."""
        unsafe = Job.Outcome.UNSAFE
        ready = [one.job for one in self.jobs if one.job.state == Job.State.DONE and one.job.is_open]
        return any(job.outcome != unsafe or job.pk in self.made_safe for job in ready)


def order_page(order: WorkOrder, *, at: datetime, shop: Shop | None) -> OrderPage:
    """Read one order's page: the same number of queries for one damper and for six."""
    jobs = order_jobs(order)
    places = places_of(shop.currency if shop else "USD")
    invoices = list(Invoice.objects.filter(order=order).order_by("number"))
    is_open = any(job.is_open for job in jobs)
    sums = order_money(order, on=shop_day(at, shop))
    lines = list(order_lines(order))
    shots = shots_of(jobs)
    papers, acts = _papers(order, jobs, invoices), _history(order)
    return OrderPage(
        order=order,
        jobs=[shown_job(job) for job in jobs],
        lines=[ShownLine(line, line_amount(line, places)) for line in lines],
        sums=sums,
        invoices=invoices,
        payments=list(
            Payment.objects.filter(order=order)
            .select_related("by", "invoice", "reversed_by")
            .order_by("at", "pk")
        ),
        consents=order.consents.select_related("taken_by").order_by("-at", "-pk"),
        papers=papers,
        letters=_letters(acts, papers),
        history=acts,
        made_safe=releases(job.pk for job in jobs),
        findings=shown_findings(
            order, sums, lines, on=shop_day(at, shop), shop=shop, shots=of_findings(shots)
        ),
        pictures=_of_steps(jobs, shots),
        signatures=signatures_of(order),
        comebacks=of_jobs(jobs),
        went_back=went_back.of_jobs(jobs),
        late=late_by(order.promised, at) if is_open else 0,
        stays=list(
            Stay.objects.filter(job__order=order, ended_at__isnull=True)
            .select_related("job", "by")
            .order_by("pk")
        ),
        where=where_now([job.damper for job in jobs], at=at, names=True),
    )


def _of_steps(jobs: list[Job], shots: list[Shot]) -> list[tuple[Job, list[Shot]]]:
    """Give by job the pictures that are of no finding: how the damper came."""
    told = [(job, [shot for shot in shots if shot.job_id == job.pk and shot.finding is None]) for job in jobs]
    return [(job, found) for job, found in told if found]


def _history(order: WorkOrder) -> list[Act]:
    """List what was done to an order; `said` of each act holds what was said with it."""
    said = Prefetch("remarks", queryset=Remark.objects.order_by("pk"), to_attr="said")
    return told(history("order", order.pk).prefetch_related(said))


def _letters(acts: list[Act], papers: list[ShownPaper]) -> list[ShownLetter]:
    """List what was sent to the customer, each with the paper's title and what it is about."""
    named = {str(one.paper.pk): ", ".join(filter(None, [one.title, one.about])) for one in papers}
    return [ShownLetter(letter, named.get(letter.paper_id, _("a paper"))) for letter in letters_by(acts)]


def _papers(order: WorkOrder, jobs: list[Job], invoices: list[Invoice]) -> list[ShownPaper]:
    """List the papers of an order, in three queries: reports by their job, invoices by their number."""
    named = {str(job.pk): _("job %s") % job.number for job in jobs}
    numbers = {str(invoice.pk): str(invoice) for invoice in invoices}
    return [
        *(ShownPaper(paper, named[paper.subject_id]) for paper in papers_about("job", *named)),
        *(ShownPaper(paper, "") for paper in papers_about("parcel", *_parcels(order))),
        *(ShownPaper(paper, numbers[paper.subject_id]) for paper in papers_about("invoice", *numbers)),
        *(ShownPaper(paper, "") for paper in papers_about("order", order.pk)),
    ]


def _parcels(order: WorkOrder) -> list[int]:
    """List the parcels of an order, by which their slips are found."""
    return list(order.parcels.order_by("pk").values_list("pk", flat=True))

"""The report of a whole order: one paper over its dampers, with a schedule and left held against right."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shopapp.bench import pairs, report, report_figures, report_pictures, report_record, report_stacks
from shopapp.bench.report_record import Record
from shopapp.dampers.services import tags
from shopapp.orders.models import Job, WorkOrder
from shopapp.papers import kinds
from shopapp.papers import services as papers
from shopapp.papers.engine_files import NamedFile
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from shopapp.papers.models import Paper
    from shopapp.people.models import Person

KIND = "order report"
TEMPLATE = "papers/order_report.html"


def issue_order_report(
    *, order: WorkOrder, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Paper:
    """Freeze the report of an order's closed jobs, in the customer's language; those that are not in it are named."""
    with acts.doing("issue_order_report", call=call, by=by, at=at, within=within) as act:
        jobs = list(Job.objects.filter(order=order).exclude(state=Job.State.VOID).order_by("number"))
        closed = [job for job in jobs if job.state == Job.State.DONE]
        if not closed:
            raise Refused(_("No damper of this order is closed yet: there is nothing to report."))
        records = [report_record.read(job.pk) for job in closed]
        language = order.customer.language or "en"
        with translation.override(language):
            found = figures(records, [job for job in jobs if job not in closed], at)
        paper = papers.issue_paper(
            kind=KIND,
            subject_kind="order",
            subject_id=order.pk,
            figures=found,
            act=act,
            at=at,
            language=language,
        )
        act.about("order", order.pk)
        act.result = {"order": order.pk, "number": order.number, "paper": str(paper.pk)}
        return paper


def figures(records: Sequence[Record], left_out: Sequence[Job], at: datetime) -> dict[str, Any]:
    """Gather the order's own sheet and each damper's report."""
    first = records[0]
    tolerances = first.shop.pair_tolerances if first.shop else {}
    dampers = [report_figures.figures(report_stacks.keep_back(record), at) for record in records]
    title = _("Order report")
    return {
        "title": title,
        "lead": _lead(records),
        "block": _block(first, dampers[0]["block"], title, len(records)),
        "left_out": _left_out(left_out),
        "schedule": [_row(record, one) for record, one in zip(records, dampers, strict=True)],
        "pairs": pairs.pairs(records, tolerances),
        "dampers": dampers,
        "printed": first.moment(at),
        "particulars": _particulars(first, records, left_out),
    }


def _lead(records: Sequence[Record]) -> str:
    """Say how the dampers ended, each way with its number."""
    counted: dict[str, int] = {}
    for record in records:
        words = str(record.job.get_outcome_display())
        counted[words] = counted.get(words, 0) + 1
    return ", ".join(f"{words}: {number}" for words, number in counted.items()) + "."


def _block(first: Record, one: dict[str, str], title: str, number: int) -> dict[str, str]:
    """Give the title block of the order's own sheet: what is the same for every damper of it."""
    same = ("shop", "address", "contact", "order", "customer", "vehicle", "meter", "received")
    days = sorted({first.day(first.job.order.received_at)})
    return {name: one[name] for name in same} | {"title": title, "dampers": str(number), "days": days[0]}


def _left_out(jobs: Sequence[Job]) -> str:
    """Name the dampers that are not in the report, and where they stand."""
    if not jobs:
        return ""
    names = [
        _("job %(number)s, %(place)s: %(state)s")
        % {
            "number": job.number,
            "place": job.get_place_display() if job.place else _("loose"),
            "state": _("stopped unsafe, DO NOT OPEN") if job.state == Job.State.STOPPED else job.get_state_display(),
        }
        for job in jobs
    ]  # fmt: skip
    return _("Not in this report: %s.") % "; ".join(names)


def _row(record: Record, one: dict[str, Any]) -> dict[str, str]:
    block = one["block"]
    return {
        "number": str(record.job.number), "place": block["place"], "damper": f"{block['damper']}, {block['serial']}",
        "tag": tags.show(record.job.damper.tag), "work": str(record.job.work_type),
        "ended": str(record.job.get_outcome_display()), "closed": block["closed"], "next": _next(record),
        "unsafe": one["unsafe"]["tag"] if one["unsafe"] else "",
    }  # fmt: skip


def _next(record: Record) -> str:
    due = record.job.next_due
    return report_figures.day_words(due) if due else "–"


def _particulars(first: Record, records: Sequence[Record], left_out: Sequence[Job]) -> list[list[str]]:
    return [
        [_("Order"), str(first.job.order.number)],
        [_("Customer"), first.job.order.customer.name],
        [_("Dampers in it"), str(len(records))],
        [_("Left out"), _left_out(left_out) or _("none")],
    ]


def draw(figures: dict[str, Any]) -> dict[str, Any]:
    """Draw what each damper's sheets place."""
    return {"dampers": [{"figures": one, "drawn": report.draw(one)} for one in figures["dampers"]]}


def files(figures: dict[str, Any]) -> list[NamedFile]:
    """Name each stored file that the dampers' sheets show, once."""
    named = [file for one in figures["dampers"] for file in report_pictures.files(one)]
    return list(dict.fromkeys(named))


def file_name(figures: dict[str, Any]) -> str:
    """Name the file: order-report-1187."""
    return kinds.plain_name(figures["title"], figures["block"]["order"])


def register() -> None:
    """Register the report as a kind of paper (called at start by the bench's handlers)."""
    kinds.register(
        KIND,
        title=gettext_lazy("Order report"),
        template=TEMPLATE,
        pdf_variant="pdf/ua-1",
        file_name=file_name,
        drawings=draw,
        files=files,
    )

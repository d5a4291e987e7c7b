"""The rebuild report: one job frozen into a paper."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.utils import translation
from django.utils.translation import gettext_lazy as _

from shopapp.bench import report_figures, report_pictures, report_record, report_section, report_stacks
from shopapp.papers import kinds
from shopapp.papers import services as papers

if TYPE_CHECKING:
    from shopapp.orders.models import Job
    from shopapp.papers.models import Paper
    from shopapp.shop.services.acts import Doing

KIND = "rebuild report"
TEMPLATE = "papers/rebuild_report.html"


def issue_report(*, job: Job, act: Doing, at: datetime) -> Paper:
    """Freeze one job's report within the act that closes it, in the customer's language; a further one is numbered."""
    record = report_record.read(job.pk)
    language = record.job.order.customer.language or "en"
    with translation.override(language):
        figures = report_figures.figures(report_stacks.keep_back(record), at)
    return papers.issue_paper(
        kind=KIND, subject_kind="job", subject_id=job.pk, figures=figures, act=act, at=at, language=language
    )


def file_name(figures: dict[str, Any]) -> str:
    """Name the report's file by its title: rebuild-report-1187-1-front-left."""
    block = figures["block"]
    return kinds.plain_name(block["title"], block["order"], block["job"], block["place"])


def draw(figures: dict[str, Any]) -> dict[str, Any]:
    """Draw what the template places: the section with the strips, and the stacks."""
    return report_section.draw(figures) | report_stacks.draw(figures)


def register() -> None:
    """Register the report as a kind of paper (called at start by the bench's handlers)."""
    kinds.register(
        KIND,
        title=_("Bench report"),
        template=TEMPLATE,
        pdf_variant="pdf/ua-1",
        file_name=file_name,
        drawings=draw,
        files=report_pictures.files,
    )

"""What pages read of papers."""

from __future__ import annotations

from django.db.models import QuerySet

from shopapp.papers.models import Paper, PaperFile
from shopapp.shop.models import Outbox


def papers_about(subject_kind: str, *subject_ids: object) -> QuerySet[Paper]:
    """List the papers of some subjects with their files, newest first."""
    return (
        Paper.objects.filter(subject_kind=subject_kind, subject_id__in=[str(pk) for pk in subject_ids])
        .select_related("file")
        .order_by("-issued_at", "-number", "pk")
    )


def file_of(paper: Paper) -> PaperFile | None:
    """Give the paper's file, or None while it is being made."""
    return PaperFile.objects.filter(paper=paper).first()


def outbox_key(paper_id: object) -> str:
    """Give the key under which a paper's making is planned."""
    return f"paper:{paper_id}"


def making_of(paper: Paper) -> Outbox | None:
    """Give the outbox row that makes the paper's file."""
    return Outbox.objects.filter(key=outbox_key(paper.pk)).first()

"""Issuing a paper (figures frozen, file planned) and rendering its file once."""

from __future__ import annotations

import uuid
import zoneinfo
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Max
from django.template.loader import render_to_string
from django.utils import timezone, translation

from shopapp.papers import canonical, engine_files, kinds, store
from shopapp.papers.models import Paper, PaperFile
from shopapp.papers.queries import file_of, outbox_key
from shopapp.shop.queries import this_shop
from shopapp.shop.services import outbox
from shopapp.shop.services.acts import Doing

OUTBOX_KIND = "paper"


def issue_paper(
    *,
    kind: str,
    subject_kind: str,
    subject_id: object,
    figures: dict[str, Any],
    act: Doing,
    at: datetime,
    language: str = "en",
) -> Paper:
    """Freeze a paper's figures within an act and plan its file; a further one of a subject takes the next number.

    `figures` are made plain first (see papers/canonical.py): text, numbers, lists, names to values.
    """
    if kind not in kinds.REGISTRY:
        raise ValueError(f"no paper kind {kind!r} is registered")
    frozen = canonical.plain(figures)
    same = Paper.objects.filter(kind=kind, subject_kind=subject_kind, subject_id=str(subject_id))
    paper = Paper.objects.create(
        kind=kind,
        subject_kind=subject_kind,
        subject_id=str(subject_id),
        number=(same.aggregate(last=Max("number"))["last"] or 0) + 1,
        figures=frozen,
        figures_hash=canonical.figures_hash(frozen),
        language=language,
        act_id=act.id,
        issued_at=at,
    )
    outbox.plan(kind=OUTBOX_KIND, key=outbox_key(paper.pk), ids={"paper": str(paper.pk)}, at=at)
    return paper


def render_html(paper: Paper) -> str:
    """Write a paper's page from its frozen figures, in its language and the shop's zone."""
    kind = kinds.REGISTRY[paper.kind]
    shop = this_shop()
    zone = zoneinfo.ZoneInfo(shop.zone if shop else "UTC")
    with translation.override(paper.language), timezone.override(zone):
        page = {
            "paper": paper,
            "title": title_of(paper, kind),
            "language": paper.language,
            "figures": paper.figures,
            "drawn": kind.drawings(paper.figures),
            "mark": short_mark(paper.figures_hash),
        }
        return render_to_string(kind.template, page)


def title_of(paper: Paper, kind: kinds.PaperKind | None) -> str:
    """Give the title that a paper's figures have; where they have none, its kind's."""
    own = paper.figures.get("title", "") if isinstance(paper.figures, dict) else ""
    return str(own or (kind.title if kind else paper.kind))


def short_mark(figures_hash: str) -> str:
    """Give the short form of a hash that stands in the title block: "7F3A 91C2"."""
    return f"{figures_hash[:4]} {figures_hash[4:8]}".upper()


def render_paper(*, paper_id: uuid.UUID | str, at: datetime) -> PaperFile:
    """Render a paper's file once and keep it; a second call gives the first one's row and changes nothing.

    Runs outside transactions (it takes its time); of two at once the unique row lets one in, the other takes it.
    """
    paper = Paper.objects.get(pk=paper_id)
    made = file_of(paper)
    if made is not None:
        return made
    html = render_html(paper)
    kind = kinds.REGISTRY[paper.kind]
    files = engine_files.read(kind.files(paper.figures))
    # Imported on first use: the engine takes longer to load than all the rest, and most processes set no paper.
    from shopapp.papers import engine

    content = engine.to_pdf(html, variant=kind.pdf_variant, files=files)
    sha256, place = store.put(content, suffix=".pdf")
    try:
        with transaction.atomic():
            return PaperFile.objects.create(
                paper=paper, sha256=sha256, size=len(content), place=place, rendered_at=at
            )
    except IntegrityError:
        return PaperFile.objects.get(paper=paper)


def deliver(ids: dict[str, Any], at: datetime) -> str:
    """Do one outbox row of the kind paper; give the file's SHA-256 as what came of it."""
    return render_paper(paper_id=ids["paper"], at=at).sha256

"""The page of a paper and the bytes of its file."""

from __future__ import annotations

import uuid

from csp.decorators import csp_replace
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_safe

from shopapp.papers import kinds, queries, store
from shopapp.papers.models import Paper, PaperFile
from shopapp.papers.services import short_mark, title_of
from shopapp.people.requests import ShopRequest


@require_safe
def paper(request: ShopRequest, pk: uuid.UUID) -> HttpResponse:
    """Show what a paper says of itself: its particulars, its hash, and the PDF or how far it has come."""
    found = get_object_or_404(Paper, pk=pk)
    kind = kinds.REGISTRY.get(found.kind)
    return render(
        request,
        "papers/paper.html",
        {
            "paper": found,
            "kind_title": title_of(found, kind),
            "file": queries.file_of(found),
            "making": queries.making_of(found),
            "particulars": found.figures.get("particulars", []),
            "mark": short_mark(found.figures_hash),
            "file_name": file_name(found),
        },
    )


def file_name(found: Paper) -> str:
    """Give the name under which a paper's file is saved."""
    kind = kinds.REGISTRY.get(found.kind)
    return (kind.file_name(found.figures) if kind else kinds.plain_name(found.kind)) + ".pdf"


@require_safe
@xframe_options_sameorigin
@csp_replace({"object-src": ["'self'"]})  # type: ignore[arg-type]
def paper_file(request: ShopRequest, pk: uuid.UUID) -> HttpResponse:
    """Give the PDF's bytes, read back against their SHA-256; say so where they are not there or not whole.

    The browser's own PDF viewer is an object of this answer, which the general policy forbids everywhere else.
    """
    found = get_object_or_404(Paper, pk=pk)
    file = queries.file_of(found)
    if file is None:
        words = _("This paper is still being made. Load its page again in a moment.")
        return _without(request, found, words, status=404)
    return paper_bytes(request, found, file)


def paper_bytes(request: ShopRequest, found: Paper, file: PaperFile) -> HttpResponse:
    """Give a file's bytes, or the page that says why not."""
    try:
        content = store.get(file.place, file.sha256)
    except store.Missing:
        words = _("The file of this paper is not in the shop's data any more. Bring it back from the backup.")
        return _without(request, found, words, status=410)
    except store.Damaged:
        words = _(
            "The file of this paper was changed on the disk and is not shown. Bring it back from the backup."
        )
        return _without(request, found, words, status=410)
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{file_name(found)}"'
    response["Cache-Control"] = "private, no-cache"
    response["ETag"] = f'"{file.sha256}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _without(request: ShopRequest, found: Paper, words: str, *, status: int) -> HttpResponse:
    return render(request, "papers/no_file.html", {"paper": found, "words": words}, status=status)

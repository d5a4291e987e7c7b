"""What the pages of labels have in common: their PDF, and whether their codes lead anywhere but to this machine."""

from __future__ import annotations

from urllib.parse import urlsplit

from django.http import HttpResponse

THIS_MACHINE = ("localhost", "127.0.0.1", "::1")


def is_local(address: str) -> bool:
    """Say whether a code's address reaches this machine alone: no phone in the shop would find it."""
    return urlsplit(address).hostname in THIS_MACHINE


def pdf(content: bytes, name: str) -> HttpResponse:
    """Show a PDF of labels that was made anew; nobody keeps it, and its name has no ending."""
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    return response

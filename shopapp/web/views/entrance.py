"""Pages over several subjects: home of each role, specimens, health, error pages."""

from __future__ import annotations

from django.db import Error, connection
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from shopapp.shop import ledgers
from shopapp.web import specimens as specimen_sheets


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """Lead each role to the page its day begins with."""
    roles = request.user.roles  # type: ignore[union-attr]
    for role, page in (("owner", "owner"), ("desk", "desk"), ("technician", "bench")):
        if role in roles:
            return HttpResponseRedirect(reverse(page))
    return no_right(request)


@require_safe
def specimens(request: HttpRequest) -> HttpResponse:
    """Show every element of the sheet in every state."""
    return render(request, *specimen_sheets.page(request.GET.get("sheet")))


@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """Say that the web server answers."""
    return JsonResponse({"ok": True})


@require_safe
def readyz(request: HttpRequest) -> HttpResponse:
    """Say that the database answers and its triggers are in place."""
    try:
        have = ledgers.present(connection)
    except Error:
        return JsonResponse({"ok": False, "why": "the database does not answer"}, status=503)
    missing = [trigger.name for trigger in ledgers.triggers(connection) if trigger.name not in have]
    return JsonResponse({"ok": not missing, "missing_triggers": missing}, status=503 if missing else 200)


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "400.html", {"words": _("This request could not be read.")}, status=400)


def no_right(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "403.html", status=403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "404.html", status=404)


def broken(request: HttpRequest) -> HttpResponse:
    """Say plainly that the fault is ours; draws nothing that needs the database."""
    return render(None, "500.html", status=500)  # type: ignore[arg-type]

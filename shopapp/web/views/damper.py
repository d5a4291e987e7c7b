"""A damper's page with all its jobs, and what the code on its tag opens."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from shopapp.bench.queries.life import life_of
from shopapp.dampers.models import Damper
from shopapp.dampers.queries import by_tag, history_of
from shopapp.dampers.services import tags
from shopapp.due.models import Due
from shopapp.due.reckoning import reckon
from shopapp.orders.queries import open_job_of
from shopapp.people.requests import ShopRequest
from shopapp.people.rights import OFFICE
from shopapp.shop.queries import history
from shopapp.web.queries.changes import told
from shopapp.web.queries.where_now import where_is


@require_safe
def damper(request: ShopRequest, pk: int) -> HttpResponse:
    """Show one damper: everything ever done to it, where it sat, who owned it."""
    return _damper_page(request, pk, names=True)


@require_safe
def bench_damper(request: ShopRequest, pk: int) -> HttpResponse:
    """Show a technician the same page: what was done to the damper, and no customer's name."""
    return _damper_page(request, pk, names=False)


def _damper_page(request: ShopRequest, pk: int, *, names: bool) -> HttpResponse:
    found = history_of(pk)
    if found is None:
        raise Http404
    due = Due.objects.filter(damper=found).select_related("job__order__vehicle").first()
    context = {
        "damper": found,
        "life": life_of(found),
        "names": names,
        "where": where_is(found, at=request.now, names=names),
        "due": due,
        "due_reason": reckon([due.job]).get(due.job_id) if due else None,
        "history": told(history("damper", found.pk)) if names else (),
    }
    return render(request, "dampers/damper.html", context)


@require_safe
def damper_tag(request: ShopRequest, tag: str) -> HttpResponse:
    """Open what a tag stands for: the damper's page in the office, its bench sheet for a technician."""
    found = by_tag(tags.plain(tag)) if tags.looks_like(tag) else None
    if request.user.roles & OFFICE:
        if found is None:
            raise Http404
        return HttpResponseRedirect(reverse("damper", args=[found.pk]))
    return HttpResponseRedirect(_at_the_bench(request, found))


@require_safe
def part_tag(request: ShopRequest, tag: str, part: str) -> HttpResponse:
    """Open what the label of a damper's springs or tray stands for: its damper."""
    if part.upper() not in tags.PARTS:
        raise Http404
    return HttpResponseRedirect(reverse("damper-tag", args=[tag]))


def _at_the_bench(request: ShopRequest, found: Damper | None) -> str:
    job = open_job_of(found) if found is not None else None
    if found is None:
        messages.error(
            request, _("No damper has this tag. Look at the tag again, or type it on the bench page.")
        )
    elif job is None:
        shown = tags.show(found.tag)
        where = where_is(found, at=request.now, names=False).first
        words = _("%(tag)s is in no open order. %(where)s. The front desk receives it first.")
        messages.error(request, words % {"tag": shown, "where": where})
    else:
        return reverse("bench-sheet", args=[job.pk])
    return reverse("bench")

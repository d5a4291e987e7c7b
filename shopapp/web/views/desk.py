"""The desk: the day as it stands, and the find box."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from shopapp.dampers.queries import by_tag
from shopapp.dampers.services import tags
from shopapp.orders.queries import bays
from shopapp.people.requests import ShopRequest
from shopapp.web.queries.finding import find as find_all
from shopapp.web.queries.the_day import the_day

LONGEST = 120


@require_safe
def desk(request: ShopRequest) -> HttpResponse:
    """Show the day: at the desk now, in the bays, waiting."""
    day = the_day(at=request.now, shop=request.shop)
    return render(request, "web/desk.html", {"day": day, "now": request.now, "bays": bays().count()})


@require_safe
def find(request: ShopRequest) -> HttpResponse:
    """Find dampers, orders, customers and invoices; a whole tag, typed or scanned, opens its damper at once.

    While somebody types, htmx asks for the hits alone; `open` leads to the first hit where there is one.
    """
    text = request.GET.get("q", "").strip()[:LONGEST]
    typing = "HX-Request" in request.headers and "HX-History-Restore-Request" not in request.headers
    if tags.looks_like(text) and not typing:
        damper = by_tag(tags.plain(text))
        if damper is not None:
            return HttpResponseRedirect(reverse("damper", args=[damper.pk]))
    groups = find_all(tags.plain(text) if tags.looks_like(text) else text, whole=request.GET.get("all", ""))
    shown = [hit for group in groups for hit in group.hits]
    if shown and request.GET.get("open"):
        return HttpResponseRedirect(shown[0].url)
    context = {
        "q": text,
        "groups": groups,
        "count": len(shown) + sum(group.left for group in groups),
        "more": any(group.cut for group in groups),
        "typing": typing,
    }
    return render(request, "web/_hits.html" if typing else "web/find.html", context)

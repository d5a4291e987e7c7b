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
    """Find dampers, orders and customers; a whole tag, typed or scanned, opens its damper at once."""
    text = request.GET.get("q", "").strip()[:LONGEST]
    if tags.looks_like(text):
        damper = by_tag(tags.plain(text))
        if damper is not None:
            return HttpResponseRedirect(reverse("damper", args=[damper.pk]))
    groups, more = find_all(text)
    count = sum(len(hits) for hits in groups.values())
    return render(request, "web/find.html", {"q": text, "groups": groups, "count": count, "more": more})

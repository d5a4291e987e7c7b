"""A vehicle's page: what is on each corner now and before, its meters, its orders."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shopapp.orders.queries import order_rows, orders
from shopapp.people.requests import ShopRequest
from shopapp.shop.paging import paged
from shopapp.shop.queries import history
from shopapp.web.queries.changes import told
from shopapp.web.queries.vehicle_page import corners_of, readings_of, vehicle_of

LAST_ACTS = 50


@require_safe
def vehicle(request: ShopRequest, pk: int) -> HttpResponse:
    """Show one vehicle."""
    found = vehicle_of(pk) if 0 < pk < 2**63 else None
    if found is None:
        raise Http404
    page = paged(request, orders().filter(vehicle=found))
    context = {
        "vehicle": found,
        "customer": found.customer.merged_into or found.customer,
        "corners": corners_of(found),
        "readings": readings_of(found),
        "page_obj": page,
        "lines": order_rows(page, request.now),
        "history": told(history("vehicle", found.pk)[:LAST_ACTS]),
    }
    return render(request, "customers/vehicle.html", context)

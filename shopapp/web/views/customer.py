"""A customer's page: how to reach them, vehicles and meters, dampers, orders."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from shopapp.customers import queries
from shopapp.dampers.queries import dampers
from shopapp.orders.queries import order_rows, orders
from shopapp.people import rights
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm
from shopapp.shop.paging import paged
from shopapp.shop.queries import history
from shopapp.web.queries.changes import told

LAST_ACTS = 50


@require_safe
def customer(request: ShopRequest, pk: int) -> HttpResponse:
    """Show one customer with everything of theirs, their orders page by page; a double leads to who is kept."""
    found = queries.customer_with_contacts(pk)
    if found is None:
        raise Http404
    if found.merged_into_id is not None:
        return redirect("customer", found.merged_into_id)
    doubles = list(queries.doubles_of(found))
    page = paged(request, orders(customer=found))
    lines = order_rows(page, request.now)
    owned = dampers().filter(ownerships__customer__in=[found, *doubles], ownerships__current=True)
    context = {
        "customer": found,
        "may_erase": rights.may(request.user.roles, "customer-erase"),
        "doubles": [(double, ActForm(auto_id=f"id_part_{double.pk}_%s")) for double in doubles],
        "vehicles": queries.vehicles_of(found),
        "consents": queries.consents_of(found),
        "dampers": owned[:200],
        "page_obj": page,
        "lines": lines,
        "history": told(history("customer", *(row.pk for row in (found, *doubles)))[:LAST_ACTS]),
    }
    return render(request, "customers/customer.html", context)

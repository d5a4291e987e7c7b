"""The list of orders. An order's own page is in web/."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shopapp.orders import queries
from shopapp.people.requests import ShopRequest
from shopapp.shop.paging import paged

STATES = ("open", "late", "closed")


@require_safe
def orders(request: ShopRequest) -> HttpResponse:
    """List orders, newest first; `q` narrows by number or customer, `state` to open, late or closed ones."""
    text = request.GET.get("q", "")[:120]
    state = request.GET.get("state", "")
    rows = queries.orders(text=text, state=state if state in STATES else "", at=request.now)
    page = paged(request, rows)
    lines = queries.order_rows(page, request.now)
    return render(
        request, "orders/orders.html", {"page_obj": page, "lines": lines, "q": text, "state": state}
    )

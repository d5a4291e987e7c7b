"""An order, or all that is held about a customer, as a file of JSON to take away."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from shopapp.customers.models import Customer
from shopapp.people.requests import ShopRequest
from shopapp.web.exports import customer_document, order_document
from shopapp.web.exports.values import written
from shopapp.web.views.order import order_of


@require_safe
def order_export(request: ShopRequest, number: int) -> HttpResponse:
    """Give one order whole."""
    document = order_document(order_of(number), shop=request.shop, at=request.now)
    return _file(written(document), f"order-{number}.json")


@require_safe
def customer_export(request: ShopRequest, pk: int) -> HttpResponse:
    """Give all that is held about one customer."""
    customer = get_object_or_404(Customer.objects.select_related("merged_into"), pk=pk)
    customer = customer.merged_into or customer
    document = customer_document(customer, shop=request.shop, at=request.now)
    return _file(written(document), f"customer-{customer.pk}.json")


def _file(text: str, name: str) -> HttpResponse:
    answer = HttpResponse(text, content_type="application/json; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "no-store"
    return answer

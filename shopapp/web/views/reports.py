"""Papers of a whole order, issued from its page: the receipt of its intake, the report of what was done."""

from __future__ import annotations

from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_POST

from shopapp.bench import order_report as reports
from shopapp.money import services as money
from shopapp.papers.models import Paper
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm
from shopapp.shop.services.acts import Call
from shopapp.web.views.order import carry_order, order_of


@require_POST
def order_report(request: ShopRequest, number: int) -> HttpResponse:
    """Issue the report of an order's closed dampers, and show the paper."""
    order = order_of(number)

    def issue(call: Call) -> Paper:
        return reports.issue_order_report(order=order, by=request.user, at=request.now, call=call)

    return carry_order(
        request, order, "report_form", ActForm(request.POST), issue,
        to=lambda result: reverse("paper", args=[result["paper"]]),
    )  # fmt: skip


@require_POST
def order_receipt(request: ShopRequest, number: int) -> HttpResponse:
    """Issue the receipt of what was taken in, and show the paper: the last one where nothing changed since."""
    order = order_of(number)

    def issue(call: Call) -> Paper:
        return money.issue_receipt(order=order, by=request.user, at=request.now, call=call)

    return carry_order(
        request, order, "receipt_form", ActForm(request.POST), issue,
        to=lambda result: reverse("paper", args=[result["paper"]]),
    )  # fmt: skip

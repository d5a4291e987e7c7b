"""The report of a whole order, issued from its page."""

from __future__ import annotations

from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_POST

from shopapp.bench import order_report as reports
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

"""The owner's page of dampers that came back, and why."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.db.models import Count
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from shopapp.orders.models import Job
from shopapp.people.requests import ShopRequest
from shopapp.web.queries import comebacks

A_PAGE = 50


@require_safe
def comeback_list(request: ShopRequest) -> HttpResponse:
    """List the dampers that came back, the newest first, with how often each cause was named."""
    page = Paginator(comebacks.comebacks(), A_PAGE).get_page(request.GET.get("page"))
    named = dict(Job.Cause.choices)
    counts = (
        comebacks.comebacks().order_by("comeback_cause").values_list("comeback_cause").annotate(Count("pk"))
    )
    causes = [(str(named.get(cause, _("not known yet"))), number) for cause, number in counts]
    context = {"page_obj": page, "rows": comebacks.with_costs(comebacks.shown(page)), "causes": causes}
    return render(request, "owner/comebacks.html", context)

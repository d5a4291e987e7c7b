"""The owner's page of dampers that came back, and why."""

from __future__ import annotations

from django.db.models import Count
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from shopapp.orders.models import Job
from shopapp.people.requests import ShopRequest
from shopapp.shop.paging import paged
from shopapp.web.queries import comebacks


@require_safe
def comeback_list(request: ShopRequest) -> HttpResponse:
    """List the dampers that came back, the newest first, with how often each cause was named.

    What they took is added up with `took=1`: every entry around them is read for it.
    """
    named = dict(Job.Cause.choices)
    counts = list(
        comebacks.comebacks().order_by("comeback_cause").values_list("comeback_cause").annotate(Count("pk"))
    )
    page = paged(request, comebacks.comebacks(), count=sum(number for _cause, number in counts))
    causes = [(str(named.get(cause, _("not known yet"))), number) for cause, number in counts]
    rows, took = comebacks.shown(page), request.GET.get("took") == "1"
    context = {
        "page_obj": page, "rows": comebacks.with_costs(rows) if took else rows, "causes": causes, "took": took,
    }  # fmt: skip
    return render(request, "owner/comebacks.html", context)

"""Handing over, and the list of what is due."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shopapp.dampers.models import PLACES
from shopapp.dampers.services import tags
from shopapp.due import queries, services
from shopapp.due.by_owner import DueByOwner
from shopapp.due.forms import DueFilter, HandOverForm, ParcelForm, ready_jobs
from shopapp.due.reckoning import because_words
from shopapp.money.queries import shop_day
from shopapp.orders.models import WorkOrder
from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.shop.paging import paged
from shopapp.shop.services.acts import Call
from shopapp.specs.cautions import words as caution


@require_POST
def hand_over(request: ShopRequest, number: int) -> HttpResponse:
    """Hand over done jobs of an order: back to the order, or the form again with what is wrong."""
    order = get_object_or_404(WorkOrder, number=number)
    form = HandOverForm(request.POST, order=order)
    back = reverse("order", args=[order.number])

    def give(call: Call) -> Any:
        data = form.cleaned_data
        return services.hand_over_jobs(
            order=order,
            jobs=data["jobs"],
            to_whom=data["to_whom"],
            signed=form.signatures,
            by=request.user,
            at=request.now,
            call=call,
        )

    if form.is_valid():
        response = once.carry_out(request, form, give, to=lambda result: back)
        if response is not None:
            return response
    title = _("Hand over order %s") % order.number
    context = {
        "form": form,
        "title": title,
        "act": _("Hand over"),
        "order": order,
        "back": back,
        "signs": True,
    }
    return render(request, "money/form_again.html", context, status=422)


@require_http_methods(["GET", "HEAD", "POST"])
def parcel_new(request: ShopRequest, number: int) -> HttpResponse:
    """Pack a parcel of an order: on to the slip that goes into it, or the form again with what is wrong."""
    order = get_object_or_404(WorkOrder.objects.select_related("customer"), number=number)
    form = ParcelForm(request.POST if request.method == "POST" else None, order=order)

    def send(call: Call) -> Any:
        data = form.cleaned_data
        names = ("jobs", "carrier", "consignment", "packed", "gas", "rule", "confirmed")
        return services.send_parcel(
            order=order, **{name: data[name] for name in names}, signed=form.signatures,
            by=request.user, at=request.now, call=call,
        )  # fmt: skip

    if form.is_bound and form.is_valid():
        response = once.carry_out(
            request, form, send, to=lambda result: reverse("paper", args=[result["paper"]])
        )
        if response is not None:
            return response
    context = {
        "form": form, "order": order, "caution": caution("shipping"), "any_ready": ready_jobs(order).exists(),
        "back": reverse("order", args=[order.number]),
    }  # fmt: skip
    return render(request, "due/parcel.html", context, status=422 if form.errors else 200)


@require_safe
def due(request: ShopRequest) -> HttpResponse:
    """List who is due, by customer: the earliest first."""
    form = DueFilter(request.GET)
    form.is_valid()
    today = shop_day(request.now, request.shop)
    page = paged(request, DueByOwner(until=form.until(today)))
    places = dict(PLACES)
    lines = [
        {
            "row": row,
            "place": places.get(row.place, ""),
            "reason": because_words(row.because),
            "late_days": queries.late_days(row.on, today),
            "tag": tags.show(row.tag),
            "order": _("order %s") % row.order,
        }
        for row in page
    ]
    narrowed = bool(lines) or queries.due_dampers().exists()
    ways = [(value or None, words) for value, words in DueFilter.WAYS]
    ahead = form.cleaned_data.get("ahead") or None
    context = {
        "form": form, "page_obj": page, "lines": lines, "narrowed": narrowed, "ways": ways, "ahead": ahead,
    }  # fmt: skip
    return render(request, "due/due.html", context, status=422 if form.errors else 200)

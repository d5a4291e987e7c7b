"""The new-order sheet: one page, one act."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from shopapp.orders import services
from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.web.forms.new_order import NewOrderForm

LOOK_UP = "look_up"


@require_http_methods(["GET", "HEAD", "POST"])
def order_new(request: ShopRequest) -> HttpResponse:
    """Take in an order. `look_up` keeps the sheet and shows who and what is known; nothing is stored by it."""
    if request.method != "POST":
        first = {name: request.GET.get(name, "")[:20] for name in ("customer", "vehicle")}
        return _sheet(request, NewOrderForm(initial=first, shop=request.shop, now=request.now))
    if LOOK_UP in request.POST:
        kept = {name: request.POST[name] for name in request.POST}
        return _sheet(request, NewOrderForm(initial=kept, shop=request.shop, now=request.now))
    form = NewOrderForm(request.POST, shop=request.shop, now=request.now)
    if form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: services.take_in(**form.sheet(), by=request.user, at=request.now, call=call),
            to=lambda result: reverse("order", args=[result["number"]]),
        )
        if response is not None:
            messages.success(
                request,
                _("The order is received. Print the tags and the receipt, and hang the tags on the dampers."),
            )
            return response
    return _sheet(request, form)


def _sheet(request: ShopRequest, form: NewOrderForm) -> HttpResponse:
    return render(
        request, "orders/new.html", {"form": form, "now": request.now}, status=422 if form.errors else 200
    )

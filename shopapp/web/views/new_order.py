"""The new-order sheet: one page, one act."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from shopapp.due.bringing_in import bring_in
from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.web.forms import intake_pictures
from shopapp.web.forms.new_order import NewOrderForm

LOOK_UP, AGREED_ALONE = "look_up", "agreed"


@require_http_methods(["GET", "HEAD", "POST"])
def order_new(request: ShopRequest) -> HttpResponse:
    """Take in an order. `look_up` keeps the sheet and shows who and what is known; nothing is stored by it.

    Where `look_up` is "agreed" the answer is only what the order comes to and whether its promise is likely.
    """
    if request.method != "POST":
        first = {name: request.GET.get(name, "")[:20] for name in ("customer", "vehicle")}
        return _sheet(request, _form(request, initial=first))
    if request.POST.get(LOOK_UP) == AGREED_ALONE:
        form = _form(request, initial=_kept(request.POST))
        return render(request, "orders/_agreed.html", {"form": form, "agreed": form.agreed_now()})
    # A copy: what the signed words of the pictures say is put in, what was asked stays as it came.
    sent = request.POST.copy()
    too_large = bool(getattr(request, "upload_too_large", False))
    problems = intake_pictures.take(request.FILES, sent, too_large=too_large)
    if LOOK_UP in sent:
        return _sheet(request, _form(request, initial=_kept(sent), picture_problems=problems))
    form = _form(request, sent, picture_problems=problems)
    if form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: bring_in(**form.sheet(), by=request.user, at=request.now, call=call),
            to=lambda result: reverse("order", args=[result["number"]]),
        )
        if response is not None:
            messages.success(
                request,
                _("The order is received. Print the tags and the receipt, and hang the tags on the dampers."),
            )
            return response
    return _sheet(request, form)


def _form(request: ShopRequest, *args: Any, **kwargs: Any) -> NewOrderForm:
    return NewOrderForm(*args, shop=request.shop, now=request.now, **kwargs)


def _kept(sent: QueryDict) -> dict[str, Any]:
    return {name: sent[name] for name in sent}


def _sheet(request: ShopRequest, form: NewOrderForm) -> HttpResponse:
    shown = {"form": form, "agreed": form.agreed_now(), "now": request.now}
    return render(request, "orders/new.html", shown, status=422 if form.errors else 200)

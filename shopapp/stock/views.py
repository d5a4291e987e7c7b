"""Pages of the stores: what the shop can build, what is on the shelves, a lot received."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from shopapp.people import once, rights
from shopapp.people.requests import ShopRequest
from shopapp.stock import queries
from shopapp.stock import services as stock
from shopapp.stock.forms import ReceiveForm

A_PAGE = 50


@require_safe
def stock_page(request: ShopRequest) -> HttpResponse:
    """Show the kits with what ends them, and the items with their lots."""
    on = timezone.localdate(request.now)
    text, low_only = request.GET.get("q", "").strip()[:60], request.GET.get("low") == "1"
    page = Paginator(queries.items(text, low_only=low_only), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "kits": queries.kit_rows(on),
        "page_obj": page,
        "rows": queries.item_rows(page, on),
        "q": text,
        "low_only": low_only,
        "on": on,
        "may_receive": rights.may(request.user.roles, "stock-receive"),
    }
    return render(request, "stock/stock.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def receive(request: ShopRequest) -> HttpResponse:
    """Receive a lot."""
    form = ReceiveForm(
        request.POST or None,
        initial={"received": timezone.localdate(request.now), "item": request.GET.get("item", "")[:20]},
        decimal_comma=bool(request.shop and request.shop.decimal_comma),
    )
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        response = once.carry_out(
            request,
            form,
            lambda call: stock.receive_lot(
                item=data["item"], batch=data["batch"], quantity=data["quantity"], received=data["received"],
                cured=data["cured"], expires=data["expires"], by=request.user, at=request.now, call=call,
            ),
            to=lambda result: reverse("stock"),
        )  # fmt: skip
        if response is not None:
            words = _("%(quantity)s of %(item)s received, batch %(batch)s.") % {
                "quantity": queries.show_quantity(data["item"], data["quantity"]),
                "item": data["item"].name,
                "batch": data["batch"],
            }
            messages.success(request, words)
            return response
    return render(request, "stock/receive.html", {"form": form}, status=422 if form.errors else 200)

"""Pages of the stores: what the shop can build, what is on the shelves, a lot received, counted, blocked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shopapp.people import once, rights
from shopapp.people.requests import ShopRequest
from shopapp.shop.paging import paged
from shopapp.shop.services.acts import Call
from shopapp.stock import queries
from shopapp.stock import services as stock
from shopapp.stock.forms import BlockForm, CountForm, ReceiveForm, UnblockForm
from shopapp.stock.models import Lot


@require_safe
def stock_page(request: ShopRequest) -> HttpResponse:
    """Show the kits with what ends them, and the items with their lots."""
    on = timezone.localdate(request.now)
    text, shown = request.GET.get("q", "").strip()[:60], _shown(request.GET.get("show", ""))
    page = paged(request, queries.items(text, shown))
    context = {
        "kits": queries.kit_rows(on),
        "page_obj": page,
        "rows": queries.item_rows(page, on, shown, text),
        "q": text,
        "shown": shown,
        "choices": [(choice.value, words) for choice, words in _which(request)],
        "on": on,
        "may_receive": rights.may(request.user.roles, "stock-receive"),
        "may_open_lots": rights.may(request.user.roles, "stock-lot"),
    }
    return render(request, "stock/stock.html", context)


def _shown(asked: str) -> queries.Shown:
    return queries.Shown(asked) if asked in set(queries.Shown) else queries.Shown.ALL


def _which(request: ShopRequest) -> list[tuple[queries.Shown, str]]:
    """List what may be shown; lots that are gone only to those who may open a lot."""
    always = [(queries.Shown.ALL, _("All")), (queries.Shown.LOW, _("Below the least to keep"))]
    if not rights.may(request.user.roles, "stock-lot"):
        return always
    return [
        *always,
        (queries.Shown.BLOCKED, _("With blocked lots")),
        (queries.Shown.USED_UP, _("With used-up lots")),
    ]


@require_http_methods(["GET", "HEAD", "POST"])
def receive(request: ShopRequest) -> HttpResponse:
    """Receive a lot."""
    form = ReceiveForm(
        request.POST or None,
        initial={"received": timezone.localdate(request.now), "item": request.GET.get("item", "")[:20]},
        decimal_comma=_comma(request),
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


def _lot(pk: int) -> Lot:
    return get_object_or_404(Lot.objects.select_related("item", "level"), pk=pk)


def _comma(request: ShopRequest) -> bool:
    return bool(request.shop and request.shop.decimal_comma)


def _lot_page(request: ShopRequest, found: Lot, **bound: Form) -> HttpResponse:
    """Show a lot with its moves, its blocks and its forms; `bound` is the one that was refused."""
    refused = next(iter(bound.values()), None)
    there = found.level.on_hand if hasattr(found, "level") else 0
    context: dict[str, Any] = {
        "lot": found,
        "there": queries.show_quantity(found.item, there),
        "moves": queries.lot_moves(found),
        "blocks": queries.lot_blocks(found),
        "count_form": CountForm(lot=found, initial={"booked": there}),
        "refused": refused,
    }
    if found.blocked_at is None:
        context["block_form"] = BlockForm()
    elif rights.may(request.user.roles, "stock-lot-unblock", "POST"):
        context["unblock_form"] = UnblockForm()
    return render(request, "stock/lot.html", {**context, **bound}, status=422 if refused else 200)


@require_safe
def lot(request: ShopRequest, pk: int) -> HttpResponse:
    """Show one lot."""
    return _lot_page(request, _lot(pk))


def _of_lot(
    request: ShopRequest, pk: int, name: str, form: Form, do: Callable[[Call], Any], done: str
) -> HttpResponse:
    """Carry out a form of the lot's page: back to the lot, or the page again with the form that was refused."""
    if form.is_valid():
        response = once.carry_out(
            request, form, do, to=lambda result: reverse("stock-lot", args=[result["lot"]])
        )
        if response is not None:
            messages.success(request, done)
            return response
    return _lot_page(request, _lot(pk), **{name: form})


@require_POST
def lot_count(request: ShopRequest, pk: int) -> HttpResponse:
    """Set a lot to what was counted; the difference is a move with its reason."""
    found = _lot(pk)
    form = CountForm(request.POST, lot=found, decimal_comma=_comma(request))

    def count(call: Call) -> Any:
        asked = form.cleaned_data
        return stock.count_lot(
            lot=found, counted=asked["counted"], booked=asked["booked"], reason=asked["reason"], by=request.user,
            at=request.now, call=call,
        )  # fmt: skip

    return _of_lot(request, pk, "count_form", form, count, _("The count is stored."))


@require_POST
def lot_block(request: ShopRequest, pk: int) -> HttpResponse:
    """Block a lot with a reason: it is no longer offered or issued."""
    found = _lot(pk)
    form = BlockForm(request.POST)

    def block(call: Call) -> Any:
        why = form.cleaned_data["why"]
        return stock.block_lot(lot=found, why=why, by=request.user, at=request.now, call=call)

    return _of_lot(request, pk, "block_form", form, block, _("The lot is blocked."))


@require_POST
def lot_unblock(request: ShopRequest, pk: int) -> HttpResponse:
    """Free a blocked lot with a reason (the owner alone): it is offered and issued again."""
    found = _lot(pk)
    form = UnblockForm(request.POST)

    def unblock(call: Call) -> Any:
        why = form.cleaned_data["why"]
        return stock.unblock_lot(lot=found, why=why, by=request.user, at=request.now, call=call)

    return _of_lot(request, pk, "unblock_form", form, unblock, _("The lot is free again."))

"""Putting a tool back by a press, from the crib's page or from the bench: one act, and a sentence."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _

from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm
from shopapp.tools import checkouts
from shopapp.tools.models import Checkout


def give_back(request: ShopRequest, pk: int, *, to: str) -> HttpResponseRedirect | ActForm:
    """Put back a tool that is out, whoever has it, and lead to the page `to`; else give the form that says why not."""
    checkout = get_object_or_404(Checkout.objects.select_related("tool"), pk=pk)
    form = ActForm(request.POST)
    if not form.is_valid():
        return form
    response = once.carry_out(
        request,
        form,
        lambda call: checkouts.take_back_tool(checkout=checkout, by=request.user, at=request.now, call=call),
        to=lambda _result: reverse(to),
    )
    if response is None:
        return form
    messages.success(request, _("%(tag)s is back in the crib.") % {"tag": checkout.tool.tag})
    return response

"""The owner releases a sheet of figures, and begins its next issue."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm
from shopapp.shop.services.acts import Call
from shopapp.specs import services as specs
from shopapp.specs.models import ServiceSpec


@require_POST
def release(request: ShopRequest, pk: int) -> HttpResponse:
    """Release a draft: from then on its figures never change."""
    spec = get_object_or_404(ServiceSpec, pk=pk)
    return _carry_out(
        request,
        spec,
        lambda call: specs.release_spec(spec=spec, by=request.user, at=request.now, call=call),
        _("The sheet is released. Its figures are frozen."),
    )


@require_POST
def renew(request: ShopRequest, pk: int) -> HttpResponse:
    """Begin the next issue of a released sheet as a draft with the same figures."""
    spec = get_object_or_404(ServiceSpec, pk=pk)
    return _carry_out(
        request,
        spec,
        lambda call: specs.renew_spec(spec=spec, by=request.user, at=request.now, call=call),
        _("The next issue is drafted. Change its figures, then release it."),
    )


def _carry_out(request: ShopRequest, spec: ServiceSpec, do: Callable[[Call], Any], done: str) -> HttpResponse:
    form = ActForm(request.POST)
    page = reverse("owner-specs-change", args=[spec.pk])
    if form.is_valid():
        response = once.carry_out(
            request, form, do, to=lambda result: reverse("owner-specs-change", args=[result["spec"]])
        )
        if response is not None:
            messages.success(request, done)
            return response
    for error in form.non_field_errors() or [
        _("This page was not complete when it was sent. Load it again.")
    ]:
        messages.error(request, str(error))
    return HttpResponseRedirect(page)

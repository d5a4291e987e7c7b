"""The labels of what was taken in: the page that offers them, and their PDF."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from csp.decorators import csp_replace
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_safe

from shopapp.orders import labels
from shopapp.orders.models import WorkOrder
from shopapp.orders.queries import order_jobs
from shopapp.people.requests import ShopRequest
from shopapp.web import label_files
from shopapp.web.forms.order_tags import TagsForm
from shopapp.web.views.order import order_of


def _form(request: ShopRequest, order: WorkOrder) -> TagsForm:
    """Read what is asked for; where nothing is, all dampers on the first kind of labels."""
    return TagsForm(request.GET, labels.to_label(order_jobs(order)))


@require_safe
def order_tags(request: ShopRequest, number: int) -> HttpResponse:
    """Show the labels of an order as they will be printed, and let choose stock and damper."""
    order = order_of(number)
    form = _form(request, order)
    context: dict[str, Any] = {"order": order, "form": form, "any_here": bool(form.things)}
    status = 200
    if form.is_valid():
        context |= _shown(request, order, form)
    else:
        status = 422
    return render(request, "orders/tags.html", context, status=status)


def _shown(request: ShopRequest, order: WorkOrder, form: TagsForm) -> dict[str, Any]:
    """Give what the page says of the labels that are chosen: nothing where no damper is here any more."""
    jobs = form.chosen()
    if not jobs:
        return {}
    address = labels.code_address(jobs[0].damper.tag, request.shop)
    return {
        "file": f"{reverse('order-tags-file', args=[order.number])}?{urlencode(form.cleaned_data)}",
        "number": len(jobs) * len(labels.PARTS),
        "stock": form.on,
        "address": address,
        "local": label_files.is_local(address),
    }


@require_safe
@xframe_options_sameorigin
@csp_replace({"object-src": ["'self'"]})  # type: ignore[arg-type]
def order_tags_file(request: ShopRequest, number: int) -> HttpResponse:
    """Give the PDF of the labels; it is made anew each time, half a second for a dozen."""
    order = order_of(number)
    form = _form(request, order)
    if not form.is_valid() or not form.things:
        raise Http404
    content = labels.pdf_of(labels.labels_of(order, form.chosen(), request.shop), form.on, order=order)
    return label_files.pdf(content, labels.file_name(order, form.on))

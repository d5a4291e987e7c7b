"""One damper of a running order: what is asked of it, and one more that comes to it."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from shopapp.orders import queries, services
from shopapp.orders.models import Job
from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.web.forms.order_jobs import DamperAddForm, JobChangeForm
from shopapp.web.views.order import order_of, to_order

FORM = ["GET", "HEAD", "POST"]
LOOK_UP = "look_up"


@require_http_methods(FORM)
def job_change(request: ShopRequest, pk: int) -> HttpResponse:
    """Change what is asked of one damper."""
    found = Job.objects.select_related("order", "damper", "work_type", "comeback_of__order")
    job = get_object_or_404(found, pk=pk)
    data = request.POST if request.method == "POST" else None
    form = JobChangeForm(data, job=job, begun=queries.begun(job.order))
    if data is not None and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: services.change_job(
                job=job, revision=form.cleaned_data["revision"], asked=form.asked(), **form.reason,
                by=request.user, at=request.now, call=call,
            ),
            to=to_order,
        )  # fmt: skip
        if response is not None:
            return response
    words = _("Change job %(order)s/%(number)s: %(damper)s")
    named = {"order": job.order.number, "number": job.number, "damper": job.damper}
    context = {
        "form": form, "title": words % named, "act": _("Keep the change"),
        "back": reverse("order", args=[job.order.number]),
    }  # fmt: skip
    return render(request, "customers/form.html", context, status=422 if form.errors else 200)


@require_http_methods(FORM)
def order_damper_new(request: ShopRequest, number: int) -> HttpResponse:
    """Take one more damper into an order. `look_up` only says what is known of it; nothing is stored by it."""
    order = order_of(number)
    if not order.jobs.filter(is_open=True).exists():
        raise Http404
    begun, on = queries.begun(order), timezone.localdate(request.now)
    if request.method != "POST" or LOOK_UP in request.POST:
        kept = {name: request.POST[name] for name in request.POST}
        return _add_page(request, DamperAddForm(initial=kept or None, begun=begun, on=on), number)
    form = DamperAddForm(request.POST, begun=begun, on=on)
    if form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: services.take_in_damper(
                order=order, row=form.row, changed_hands=form.cleaned_data["changed_hands"], **form.reason,
                by=request.user, at=request.now, call=call,
            ),
            to=to_order,
        )  # fmt: skip
        if response is not None:
            messages.success(request, _("The damper is in. Print its tags and hang them on it."))
            return response
    return _add_page(request, form, number)


def _add_page(request: ShopRequest, form: DamperAddForm, number: int) -> HttpResponse:
    context = {"form": form, "number": number, "back": reverse("order", args=[number])}
    return render(request, "orders/add_damper.html", context, status=422 if form.errors else 200)

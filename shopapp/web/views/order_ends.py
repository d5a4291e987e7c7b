"""What ends something on an order's page: a job or the order is void, a damper is scrapped."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST

from shopapp.orders import queries, services
from shopapp.orders.models import Stay
from shopapp.people.requests import ShopRequest
from shopapp.shop.services.acts import Call
from shopapp.web.forms.order_ends import ScrapForm, StayBackForm, StayForm, VoidJobForm, WhyForm
from shopapp.web.views.order import carry_order, order_of


@require_POST
def order_void(request: ShopRequest, number: int) -> HttpResponse:
    """Void an order of which nothing is begun."""
    order = order_of(number)
    form = WhyForm(request.POST, auto_id="id_void_order_%s")

    def void(call: Call) -> Any:
        return services.void_order(
            order=order, why=form.cleaned_data["why"], by=request.user, at=request.now, call=call
        )

    return carry_order(request, order, "void_order_form", form, void)


@require_POST
def job_void(request: ShopRequest, number: int) -> HttpResponse:
    """Void one job that nobody has begun."""
    order = order_of(number)
    form = VoidJobForm(request.POST, jobs=queries.order_jobs(order), auto_id="id_void_job_%s")

    def void(call: Call) -> Any:
        return services.void_job(
            job=form.jobs[form.cleaned_data["job"]], why=form.cleaned_data["why"], by=request.user,
            at=request.now, call=call,
        )  # fmt: skip

    return carry_order(request, order, "void_job_form", form, void)


@require_POST
def job_scrap(request: ShopRequest, number: int) -> HttpResponse:
    """Scrap the damper of a closed job on the customer's word."""
    order = order_of(number)
    form = ScrapForm(request.POST, jobs=queries.order_jobs(order), auto_id="id_scrap_%s")

    def scrap(call: Call) -> Any:
        asked = form.cleaned_data
        return services.scrap_job(
            job=form.jobs[asked["job"]], who=asked["who"], how=asked["how"], by=request.user,
            at=request.now, call=call,
        )  # fmt: skip

    return carry_order(request, order, "scrap_form", form, scrap)


@require_POST
def job_stay(request: ShopRequest, number: int) -> HttpResponse:
    """Note that a closed job's damper stays here."""
    order = order_of(number)
    form = StayForm(request.POST, jobs=queries.order_jobs(order), auto_id="id_stay_%s")

    def keep(call: Call) -> Any:
        asked = form.cleaned_data
        said = {name: asked[name] for name in ("why", "until", "who", "how", "words")}
        return services.keep_here(
            job=form.jobs[asked["job"]], **said, by=request.user, at=request.now, call=call
        )

    return carry_order(request, order, "stay_form", form, keep)


@require_POST
def stay_back(request: ShopRequest, number: int) -> HttpResponse:
    """Take back that a damper stays: it is to be fetched again."""
    order = order_of(number)
    form = StayBackForm(request.POST)

    def take_back(call: Call) -> Any:
        stay = get_object_or_404(Stay, pk=form.cleaned_data["stay"], job__order=order)
        return services.take_stay_back(stay=stay, by=request.user, at=request.now, call=call)

    return carry_order(request, order, "stay_back_form", form, take_back)

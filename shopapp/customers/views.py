"""Pages of customers: the list, the form of one, the form of a vehicle. A customer's own page is in web/."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shopapp.customers import held, queries, services
from shopapp.customers.forms import (
    CustomerForm,
    EraseForm,
    MergeForm,
    NewCustomerForm,
    NewVehicleForm,
    VehicleForm,
)
from shopapp.customers.models import Customer, Vehicle
from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm
from shopapp.shop.paging import paged
from shopapp.shop.services.acts import Call

FORM = ["GET", "HEAD", "POST"]


@require_safe
def customers(request: ShopRequest) -> HttpResponse:
    """List customers by name; `q` narrows by name, phone or e-mail."""
    text = request.GET.get("q", "")[:120]
    page = paged(request, queries.customers(text))
    return render(request, "customers/customers.html", {"page_obj": page, "q": text})


def _posted(request: ShopRequest) -> Any:
    return request.POST if request.method == "POST" else None


def _to_customer(result: dict[str, Any]) -> str:
    return reverse("customer", args=[result["customer"]])


@require_http_methods(FORM)
def customer_new(request: ShopRequest) -> HttpResponse:
    """Add a customer."""
    form = NewCustomerForm(_posted(request))
    if request.method == "POST" and form.is_valid():
        std: dict[str, Any] = {"by": request.user, "at": request.now}
        response = once.carry_out(
            request,
            form,
            lambda call: services.add_customer(**form.details(), **std, call=call),
            to=_to_customer,
        )
        if response is not None:
            return response
    context = {
        "form": form,
        "title": _("New customer"),
        "act": _("Add the customer"),
        "back": reverse("customers"),
    }
    return render(request, "customers/form.html", context, status=422 if form.errors else 200)


@require_http_methods(FORM)
def customer_change(request: ShopRequest, pk: int) -> HttpResponse:
    """Change a customer."""
    customer = queries.customer_with_contacts(pk)
    if customer is None:
        raise Http404
    form = CustomerForm(
        _posted(request), initial=CustomerForm.initial_of(customer, queries.consents_of(customer))
    )
    name = customer.name
    if request.method == "POST" and form.is_valid():
        std: dict[str, Any] = {
            "by": request.user,
            "at": request.now,
            "revision": form.cleaned_data["revision"],
        }
        response = once.carry_out(
            request,
            form,
            lambda call: services.change_customer(customer=customer, **form.details(), **std, call=call),
            to=_to_customer,
        )
        if response is not None:
            return response
    context = {
        "form": form,
        "title": name,
        "act": _("Keep the change"),
        "back": reverse("customer", args=[pk]),
    }
    return render(request, "customers/form.html", context, status=422 if form.errors else 200)


@require_http_methods(FORM)
def customer_merge(request: ShopRequest, pk: int) -> HttpResponse:
    """Say that a customer was entered twice, and which entry is kept; `q` looks for others than the likely ones."""
    customer = queries.customer_with_contacts(pk)
    if customer is None or customer.erased_at is not None:
        raise Http404
    if customer.merged_into_id is not None:
        return redirect("customer", customer.merged_into_id)
    text = request.GET.get("q", "")[:120].replace("\0", " ")
    rows = queries.customers(text).exclude(pk=pk) if text.strip() else queries.likely_doubles(customer)
    form = MergeForm(_posted(request), offered=rows)
    if request.method == "POST" and form.is_valid():
        std: dict[str, Any] = {"by": request.user, "at": request.now}
        into = form.cleaned_data["into"]
        response = once.carry_out(
            request,
            form,
            lambda call: services.merge_customers(double=customer, into=into, **std, call=call),
            to=_to_customer,
        )
        if response is not None:
            return response
    context = {"form": form, "customer": customer, "q": text}
    return render(request, "customers/merge.html", context, status=422 if form.errors else 200)


@require_http_methods(FORM)
def customer_erase(request: ShopRequest, pk: int) -> HttpResponse:
    """Erase who a customer is; the page says what goes, what stays, and what hinders it."""
    customer = get_object_or_404(Customer, pk=pk)
    if request.method != "POST" and (customer.erased_at or customer.merged_into_id):
        return redirect("customer", customer.merged_into_id or pk)
    form = EraseForm(_posted(request))
    if request.method == "POST" and form.is_valid():
        std: dict[str, Any] = {"by": request.user, "at": request.now}
        typed = form.cleaned_data["typed_name"]
        response = once.carry_out(
            request,
            form,
            lambda call: services.erase_customer(customer=customer, typed_name=typed, **std, call=call),
            to=_to_customer,
        )
        if response is not None:
            return response
    entries = list(queries.whole(customer).order_by("pk"))
    context = {"form": form, "customer": customer, "entries": entries, "hinders": held.hindered(entries)}
    return render(request, "customers/erase.html", context, status=422 if form.errors else 200)


@require_POST
def customer_part(request: ShopRequest, pk: int) -> HttpResponse:
    """Take back that a customer is another one entered twice."""
    double = get_object_or_404(Customer, pk=pk)
    form = ActForm(request.POST)
    std: dict[str, Any] = {"by": request.user, "at": request.now}
    if form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: services.part_customers(double=double, **std, call=call),
            to=_to_customer,
        )
        if response is not None:
            return response
    messages.error(request, " ".join(str(words) for problems in form.errors.values() for words in problems))
    return redirect("customer", double.merged_into_id or double.pk)


@require_http_methods(FORM)
def vehicle_new(request: ShopRequest, pk: int) -> HttpResponse:
    """Add a vehicle to a customer."""
    customer = get_object_or_404(Customer, pk=pk)
    form = NewVehicleForm(_posted(request), shop=request.shop)
    std: dict[str, Any] = {"by": request.user, "at": request.now}

    def add(call: Call) -> Any:
        return services.add_vehicle(customer=customer, **form.details(), **std, call=call)

    title = _("New vehicle of %s") % customer.name
    return _vehicle_form(request, form, add, title=title, act=_("Add the vehicle"), customer=pk)


@require_http_methods(FORM)
def vehicle_change(request: ShopRequest, pk: int) -> HttpResponse:
    """Change a vehicle, or enter what its meter shows now."""
    vehicle = get_object_or_404(Vehicle.objects.select_related("customer"), pk=pk)
    form = VehicleForm(_posted(request), shop=request.shop, initial=VehicleForm.initial_of(vehicle))
    std: dict[str, Any] = {"by": request.user, "at": request.now}

    def change(call: Call) -> Any:
        revision = form.cleaned_data["revision"]
        return services.change_vehicle(vehicle=vehicle, revision=revision, **form.details(), **std, call=call)

    title, act = vehicle.description, _("Keep the change")
    return _vehicle_form(request, form, change, title=title, act=act, customer=vehicle.customer_id)


def _vehicle_form(
    request: ShopRequest, form: Form, do: Callable[[Call], Any], *, title: str, act: str, customer: int
) -> HttpResponse:
    """Carry out a vehicle's form: back to its customer, or the form again with what is wrong."""
    if form.is_bound and form.is_valid():
        response = once.carry_out(request, form, do, to=_to_customer)
        if response is not None:
            return response
    context = {"form": form, "title": title, "act": act, "back": reverse("customer", args=[customer])}
    return render(request, "customers/form.html", context, status=422 if form.errors else 200)

"""An order's page, and what is done on it: a change, a yes or no, who does a job, lines."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.forms import Form
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shopapp.due.forms import HandOverForm
from shopapp.money.forms import InvoiceForm, PaymentForm
from shopapp.money.queries import rates_on
from shopapp.orders import queries, services
from shopapp.orders.models import Job, OrderLine, WorkOrder
from shopapp.people import once, rights
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Call
from shopapp.web.forms.findings import AnswerBackForm, AnswerForm, PriceForm
from shopapp.web.forms.order_ends import (
    ScrapForm,
    StayBackForm,
    StayForm,
    VoidJobForm,
    WhyForm,
    may_scrap,
    may_stay,
    may_void,
)
from shopapp.web.forms.order_page import AssignChoices, AssignForm, ConsentForm, LineForm, OrderChangeForm
from shopapp.web.queries.order_findings import ShownFinding
from shopapp.web.queries.order_page import order_page

FOLDED = {"consent_form", "line_form", "stay_form", "scrap_form", "void_job_form", "void_order_form"}
"""What stands behind its verb and comes back to this page when it is refused: open, its slip within."""


def order_of(number: int) -> WorkOrder:
    """Give one order by its number, or 404."""
    found = queries.order_numbered(number)
    if found is None:
        raise Http404
    return found


def to_order(result: dict[str, Any]) -> str:
    """Lead back to the order that an act was about."""
    return reverse("order", args=[result["number"]])


def categories(request: ShopRequest) -> list[tuple[str, str]]:
    rates = rates_on(timezone.localdate(request.now))
    return [(category, rate.name or category) for category, rate in sorted(rates.items())] or [("S", "S")]


def _line_form(request: ShopRequest, jobs: list[Job], data: Any = None) -> LineForm:
    return LineForm(data, jobs=jobs, categories=categories(request), shop=request.shop, auto_id="id_line_%s")


def _page(request: ShopRequest, order: WorkOrder, **bound: Form) -> HttpResponse:
    """Show the order with its forms; `bound` are those that were refused, by their names."""
    page = order_page(order, at=request.now, shop=request.shop)
    choices = AssignChoices()
    jobs = [shown.job for shown in page.jobs]
    context: dict[str, Any] = {
        "page": page,
        "order": order,
        "assign": [
            (
                shown,
                AssignForm(job=shown.job, choices=choices) if shown.job.is_open else None,
                page.made_safe.get(shown.job.pk),
                page.where[shown.job.damper_id],
            )
            for shown in page.jobs
        ],
        "consent_form": ConsentForm(shop=request.shop, auto_id="id_consent_%s"),
        "line_form": _line_form(request, jobs),
        "payment_form": PaymentForm(order=order, auto_id="id_payment_%s"),
        "remove_key": ActForm(),
        "stays": [(stay, StayBackForm(initial={"stay": stay.pk}, auto_id=False)) for stay in page.stays],
        "may_take_back": rights.may(request.user.roles, "payment-take-back"),
    }
    if page.to_invoice:
        context["invoice_form"] = InvoiceForm(order=order, auto_id="id_invoice_%s")
    if page.any_closed:
        context["report_form"] = ActForm()
    if page.any_taken_in:
        context["receipt_form"] = ActForm()
    if page.to_hand_over:
        context["hand_over_form"] = HandOverForm(order=order, auto_id="id_hand_%s")
    kinds = categories(request) if page.findings else []
    context["findings"] = [
        (shown, finding_forms(shown, bound, categories=kinds, shop=request.shop)) for shown in page.findings
    ]
    context |= _ending_forms(jobs)
    context.update(bound)
    refused = next((name for name, form in bound.items() if form.errors), None)
    context["refused"] = bound[refused] if refused and refused not in FOLDED else None
    context["open"] = request.GET.get("open", "")
    return render(request, "orders/order.html", context, status=422 if refused else 200)


def finding_forms(
    shown: ShownFinding, bound: dict[str, Form], *, categories: list[tuple[str, str]], shop: Shop | None
) -> dict[str, Form]:
    """Give the forms of one finding, each only while it has something to do; a refused one stands where it was sent."""
    finding = shown.row.finding
    found: dict[str, Form] = {}
    if shown.row.may_answer and not finding.answer:
        found["price"] = PriceForm(finding=finding, categories=categories, shop=shop)
        if finding.price is not None:
            found["answer"] = AnswerForm(finding=finding, shop=shop, amount=shown.to_agree)
    if shown.may_take_back:
        found["back"] = AnswerBackForm(finding=finding)
    for name, key in (("price", "price_form"), ("answer", "answer_form"), ("back", "answer_back_form")):
        sent = bound.get(key)
        if isinstance(sent, PriceForm | AnswerForm | AnswerBackForm) and sent.finding.pk == finding.pk:
            found[name] = sent
    return found


def _ending_forms(jobs: list[Job]) -> dict[str, Form]:
    """Give the forms that end something, each only while there is something that it may end."""
    found: dict[str, Form] = {}
    planned, scrap = [job for job in jobs if may_void(job)], [job for job in jobs if may_scrap(job)]
    if planned:
        found["void_job_form"] = VoidJobForm(jobs=planned, auto_id="id_void_job_%s")
    if planned and all(job in planned or job.state == Job.State.VOID for job in jobs):
        found["void_order_form"] = WhyForm(auto_id="id_void_order_%s")
    staying = [job for job in jobs if may_stay(job)]
    if staying:
        found["stay_form"] = StayForm(jobs=staying, auto_id="id_stay_%s")
    if scrap:
        found["scrap_form"] = ScrapForm(jobs=scrap, auto_id="id_scrap_%s")
    return found


@require_safe
def order(request: ShopRequest, number: int) -> HttpResponse:
    """Show one order."""
    return _page(request, order_of(number))


def carry_order(
    request: ShopRequest,
    order: WorkOrder,
    name: str,
    form: Form,
    do: Callable[[Call], Any],
    to: Callable[[dict[str, Any]], str] = to_order,
) -> HttpResponse:
    """Carry out a form of the page: on `to` where it leads, or the page again with the form that was refused."""
    if form.is_valid():
        response = once.carry_out(request, form, do, to=to)
        if response is not None:
            return response
    return _page(request, order_of(order.number), **{name: form})


@require_http_methods(["GET", "HEAD", "POST"])
def order_change(request: ShopRequest, number: int) -> HttpResponse:
    """Change what was agreed: freely until work starts, from then on with who asked for it and why."""
    order = order_of(number)
    data = request.POST if request.method == "POST" else None
    form = OrderChangeForm(data, order=order, begun=queries.begun(order), shop=request.shop, now=request.now)
    if data is not None and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: services.change_order(
                order=order, **form.asked(), by=request.user, at=request.now, call=call
            ),
            to=to_order,
        )
        if response is not None:
            return response
    context = {
        "form": form,
        "title": _("Change order %s") % number,
        "act": _("Keep the change"),
        "back": reverse("order", args=[number]),
    }
    return render(request, "customers/form.html", context, status=422 if form.errors else 200)


@require_POST
def order_consent(request: ShopRequest, number: int) -> HttpResponse:
    """Record the customer's yes or no to a new limit."""
    order = order_of(number)
    form = ConsentForm(request.POST, shop=request.shop, auto_id="id_consent_%s")

    def record(call: Call) -> Any:
        asked = form.cleaned_data
        return services.record_work_consent(
            order=order, yes=asked["yes"] == "yes", amount=asked["amount"], who=asked["who"], how=asked["how"],
            by=request.user, at=request.now, call=call,
        )  # fmt: skip

    return carry_order(request, order, "consent_form", form, record)


@require_POST
def job_assign(request: ShopRequest, pk: int) -> HttpResponse:
    """Give a job to a technician and a bay."""
    job = get_object_or_404(Job.objects.select_related("order", "technician", "bay"), pk=pk)
    choices = AssignChoices()
    form = AssignForm(request.POST, job=job, choices=choices)

    def assign(call: Call) -> Any:
        asked = form.cleaned_data
        return services.assign_job(
            job=job, technician=choices.people.get(asked["technician"]), bay=choices.rooms.get(asked["bay"]),
            by=request.user, at=request.now, call=call,
        )  # fmt: skip

    return carry_order(request, job.order, "assign_form", form, assign)


@require_POST
def order_line_new(request: ShopRequest, number: int) -> HttpResponse:
    """Add a line by hand."""
    order = order_of(number)
    form = _line_form(request, queries.order_jobs(order), request.POST)

    def add(call: Call) -> Any:
        asked = form.cleaned_data
        return services.add_order_line(
            order=order, job=form.jobs.get(asked["job"]), what=asked["what"], quantity=asked["quantity"],
            unit=asked["unit"], price=asked["price"], tax_category=asked["tax_category"], by=request.user,
            at=request.now, call=call,
        )  # fmt: skip

    return carry_order(request, order, "line_form", form, add)


@require_POST
def order_line_remove(request: ShopRequest, number: int, pk: int) -> HttpResponse:
    """Take a line off the order."""
    order = order_of(number)
    form = ActForm(request.POST)

    def remove(call: Call) -> Any:
        line = OrderLine.objects.select_related("order").filter(pk=pk, order=order).first()
        return services.remove_order_line(line=line, order=order, by=request.user, at=request.now, call=call)

    return carry_order(request, order, "remove_form", form, remove)

"""Pages of money: the list of invoices, one invoice; an order's invoice and payment."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shopapp.money import queries, services
from shopapp.money.amounts import number, shown
from shopapp.money.forms import InvoiceForm, InvoicesFilter, PaymentForm, TakeBackForm
from shopapp.money.invoice_figures import shown_price
from shopapp.money.models import Invoice, Payment
from shopapp.orders.models import WorkOrder
from shopapp.papers.queries import papers_about
from shopapp.people import once, rights
from shopapp.people.requests import ShopRequest
from shopapp.shop.paging import paged
from shopapp.shop.services.acts import Call

LISTED = ("series", "number", "buyer", "issued_on", "due_on", "gross", "currency", "order__number")
"""What the list reads of an invoice."""


@require_safe
def invoices(request: ShopRequest) -> HttpResponse:
    """List the invoices, newest first, with what each still asks."""
    form = InvoicesFilter(request.GET)
    form.is_valid()
    asked = form.cleaned_data
    rows = queries.invoices(
        asked.get("q", ""),
        since=asked.get("since"),
        until=asked.get("until"),
        unpaid=asked.get("unpaid", False),
    )
    page = paged(request, rows.only(*LISTED))
    left = queries.open_of(invoice.order_id for invoice in page)
    today = queries.shop_day(request.now, request.shop)
    language = get_language() or "en"
    lines = [
        {
            "invoice": invoice,
            "gross": shown(invoice.gross, invoice.currency, language),
            "left": shown(left[invoice.pk], invoice.currency, language) if left[invoice.pk] else "",
            "late_days": (today - invoice.due_on).days if left[invoice.pk] and today > invoice.due_on else 0,
        }
        for invoice in page
    ]
    narrowed = any(value for value in asked.values())
    return render(
        request,
        "money/invoices.html",
        {"form": form, "page_obj": page, "lines": lines, "narrowed": narrowed},
        status=422 if form.errors else 200,
    )


@require_safe
def invoice(request: ShopRequest, pk: int) -> HttpResponse:
    """Show one invoice as it was issued, what is paid of it, and its paper."""
    rows = Invoice.objects.select_related("order", "order__customer")
    found = get_object_or_404(rows, pk=pk)
    language = get_language() or "en"
    left = queries.open_of([found.order_id])[found.pk]
    lines = [
        {
            "line": line,
            "quantity": number(line.quantity, language),
            "price": shown_price(line.price, found.currency, language),
            "rate": number(line.rate, language),
            "net": shown(line.net, found.currency, language),
        }
        for line in found.lines.select_related("job__damper").order_by("number")
    ]
    payments = [
        {"payment": payment, "amount": shown(payment.amount, found.currency, language)}
        for payment in found.order.payments.select_related("by", "invoice", "reversed_by").order_by(
            "at", "pk"
        )
    ]
    sums = {name: shown(getattr(found, name), found.currency, language) for name in ("net", "tax", "gross")}
    return render(
        request,
        "money/invoice.html",
        {
            "invoice": found,
            "lines": lines,
            "sums": sums,
            "left": shown(left, found.currency, language),
            "paid_whole": left <= 0,
            "payments": payments,
            "may_take_back": rights.may(request.user.roles, "payment-take-back"),
            "papers": papers_about("invoice", found.pk),
        },
    )


@require_POST
def order_invoice(request: ShopRequest, number: int) -> HttpResponse:
    """Issue an invoice of an order's done jobs."""
    order = get_object_or_404(WorkOrder, number=number)
    form = InvoiceForm(request.POST, order=order)

    def issue(call: Call) -> Any:
        jobs = list(form.cleaned_data["jobs"])
        return services.issue_invoice(
            order=order, jobs=jobs, endings=form.endings, by=request.user, at=request.now, call=call
        )

    return order_form(
        request, order, form, issue, title=_("Invoice of order %s") % order.number, act=_("Issue the invoice")
    )


@require_POST
def order_payment(request: ShopRequest, number: int) -> HttpResponse:
    """Take a payment for an order."""
    order = get_object_or_404(WorkOrder, number=number)
    form = PaymentForm(request.POST, order=order)

    def take(call: Call) -> Any:
        data = form.cleaned_data
        return services.take_payment(
            order=order,
            invoice=data["invoice"],
            amount=data["amount"],
            how=data["how"],
            reference=data["reference"],
            by=request.user,
            at=request.now,
            call=call,
        )

    return order_form(
        request, order, form, take, title=_("Payment for order %s") % order.number, act=_("Take the payment")
    )


@require_http_methods(["GET", "HEAD", "POST"])
def payment_take_back(request: ShopRequest, pk: int) -> HttpResponse:
    """Take a payment back with a reason, by a payment that names it; what was stored stays."""
    payment = get_object_or_404(Payment.objects.select_related("order", "reversed_by"), pk=pk)
    if payment.reverses_id is not None:
        raise Http404
    form = TakeBackForm(request.POST if request.method == "POST" else None)
    back = reverse("order", args=[payment.order.number])
    if form.is_bound and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: services.reverse_payment(
                payment=payment, why=form.cleaned_data["why"], by=request.user, at=request.now, call=call
            ),
            to=lambda result: back,
        )
        if response is not None:
            messages.success(request, _("The payment is taken back."))
            return response
    currency = request.shop.currency if request.shop else "USD"
    amount = shown(payment.amount, currency, get_language() or "en")
    context = {"form": form, "payment": payment, "order": payment.order, "amount": amount, "back": back}
    return render(request, "money/take_back.html", context, status=422 if form.errors else 200)


def order_form(
    request: ShopRequest, order: WorkOrder, form: Form, do: Callable[[Call], Any], *, title: str, act: str
) -> HttpResponse:
    """Carry out a form that stands on an order's page: back to the order, or the form again with what is wrong."""
    response: HttpResponseRedirect | None = None
    back = reverse("order", args=[order.number])
    if form.is_valid():
        response = once.carry_out(request, form, do, to=lambda result: back)
    if response is not None:
        return response
    context = {"form": form, "title": title, "act": act, "order": order, "back": back}
    return render(request, "money/form_again.html", context, status=422)

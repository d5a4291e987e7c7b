"""What the desk does with a finding on its order's page: a price, the customer's answer, an answer taken back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.forms import Form
from django.http import Http404, HttpResponse
from django.views.decorators.http import require_POST

from shopapp.bench.models import Finding
from shopapp.bench.queries.findings import finding_of
from shopapp.bench.services import answers
from shopapp.people.requests import ShopRequest
from shopapp.shop.services.acts import Call
from shopapp.web.forms.findings import AnswerBackForm, AnswerForm, PriceForm
from shopapp.web.views.order import carry_order, categories


def _finding(pk: int) -> Finding:
    found = finding_of(pk)
    if found is None:
        raise Http404
    return found


def _carry(
    request: ShopRequest, finding: Finding, name: str, form: Form, do: Callable[[Call], Any]
) -> HttpResponse:
    return carry_order(request, finding.job.order, name, form, do)


@require_POST
def finding_price(request: ShopRequest, pk: int) -> HttpResponse:
    """Say what putting a finding right costs."""
    finding = _finding(pk)
    form = PriceForm(request.POST, finding=finding, categories=categories(request), shop=request.shop)

    def price(call: Call) -> Any:
        asked = form.cleaned_data
        return answers.price_finding(
            finding=finding, revision=asked["revision"], what=asked["what"], price=asked["price"],
            tax_category=asked["tax_category"], by=request.user, at=request.now, call=call,
        )  # fmt: skip

    return _carry(request, finding, "price_form", form, price)


@require_POST
def finding_answer(request: ShopRequest, pk: int) -> HttpResponse:
    """Record the customer's answer to a finding."""
    finding = _finding(pk)
    form = AnswerForm(request.POST, finding=finding, shop=request.shop)

    def answer(call: Call) -> Any:
        asked = form.cleaned_data
        said = dict(form.fields["how"].choices)  # type: ignore[attr-defined]
        return answers.answer_finding(
            finding=finding, yes=asked["yes"] == "yes", who=asked["who"], how=str(said[asked["how"]]),
            when=asked["when"], amount=asked["amount"], by=request.user, at=request.now, call=call,
        )  # fmt: skip

    return _carry(request, finding, "answer_form", form, answer)


@require_POST
def finding_take_back(request: ShopRequest, pk: int) -> HttpResponse:
    """Take an answer back, saying why."""
    finding = _finding(pk)
    form = AnswerBackForm(request.POST, finding=finding)

    def take_back(call: Call) -> Any:
        return answers.take_back_answer(
            finding=finding, why=form.cleaned_data["why"], by=request.user, at=request.now, call=call
        )

    return _carry(request, finding, "answer_back_form", form, take_back)

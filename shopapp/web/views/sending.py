"""Send an issued paper to its customer by mail."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from shopapp.money import services as money
from shopapp.papers import kinds
from shopapp.papers.models import Paper
from shopapp.papers.services import title_of
from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.web.forms.sending import SendForm
from shopapp.web.queries.sent import addresses_of, letters_of, order_of_paper


@require_http_methods(["GET", "HEAD", "POST"])
def paper_send(request: ShopRequest, pk: uuid.UUID) -> HttpResponse:
    """Choose the address, and see how earlier letters with this paper ended."""
    paper = get_object_or_404(Paper, pk=pk)
    order = order_of_paper(paper)
    if order is None:
        raise Http404
    form = SendForm(request.POST if request.method == "POST" else None, addresses=addresses_of(order))
    if request.method == "POST" and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: money.send_paper(
                order=order, paper=paper, contact=form.cleaned_data["contact"], by=request.user, at=request.now,
                call=call,
            ),
            to=lambda result: reverse("paper-send", args=[result["paper"]]),
        )  # fmt: skip
        if response is not None:
            messages.success(request, _("It is sent in a moment. How it ended stands below."))
            return response
    context = {
        "form": form,
        "order": order,
        "paper": paper,
        "title": title_of(paper, kinds.REGISTRY.get(paper.kind)),
        "letters": letters_of(paper),
    }
    return render(request, "papers/send.html", context, status=422 if form.errors else 200)

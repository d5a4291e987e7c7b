"""The list of dampers, and what is written about one corrected. A damper's own page is in web/."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from shopapp.dampers import queries, services
from shopapp.dampers.forms import DamperForm
from shopapp.dampers.models import Damper
from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.shop.paging import paged


@require_safe
def dampers(request: ShopRequest) -> HttpResponse:
    """List dampers by maker and serial; `q` narrows by tag, serial, maker or model."""
    text = request.GET.get("q", "")[:120]
    page = paged(request, queries.dampers(text))
    return render(request, "dampers/dampers.html", {"page_obj": page, "q": text})


@require_http_methods(["GET", "HEAD", "POST"])
def damper_change(request: ShopRequest, pk: int) -> HttpResponse:
    """Correct a damper's serial, saying why; its tag stays and its search terms follow."""
    damper = get_object_or_404(Damper.objects.select_related("model"), pk=pk)
    tag, back = services.tags.show(damper.tag), reverse("damper", args=[pk])
    form = DamperForm(request.POST if request.method == "POST" else None, damper=damper)
    if form.is_bound and form.is_valid():
        asked = form.cleaned_data
        response = once.carry_out(
            request,
            form,
            lambda call: services.change_damper(
                damper=damper, revision=asked["revision"], serial=asked["serial"], model=damper.model,
                maker=asked.get("maker", ""), note=asked["note"], why=asked["why"], by=request.user,
                at=request.now, call=call,
            ),
            to=lambda result: back,
        )  # fmt: skip
        if response is not None:
            messages.success(request, _("The damper %s is corrected.") % tag)
            return response
    context = {
        "form": form,
        "title": _("Correct the damper %s") % tag,
        "act": _("Keep the correction"),
        "back": back,
    }
    return render(request, "customers/form.html", context, status=422 if form.errors else 200)

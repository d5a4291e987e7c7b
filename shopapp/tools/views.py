"""Pages of the tool crib: the schedule of tools, a check recorded."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shopapp.people import once, rights
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm
from shopapp.shop.paging import paged
from shopapp.tools import checkouts, queries
from shopapp.tools import services as tools
from shopapp.tools.forms import CheckForm
from shopapp.tools.giving_back import give_back
from shopapp.tools.models import Tool


@require_safe
def tools_page(request: ShopRequest) -> HttpResponse:
    """Show every tool with how it stands today, and who has it."""
    return _tools_page(request, None)


def _tools_page(request: ShopRequest, refused: ActForm | None) -> HttpResponse:
    on = timezone.localdate(request.now)
    page = paged(request, queries.tools())
    context = {
        "page_obj": page,
        "rows": queries.tool_rows(page, on),
        "on": on,
        "out": [(row, checkouts.who_words(row), ActForm()) for row in checkouts.out_now()],
        "refused": refused,
        "may_check": rights.may(request.user.roles, "tool-check"),
    }
    return render(request, "tools/tools.html", context, status=422 if refused is not None else 200)


@require_POST
def tool_back(request: ShopRequest, pk: int) -> HttpResponse:
    """Put a tool back that is out, whoever has it."""
    done = give_back(request, pk, to="tools")
    return _tools_page(request, done) if isinstance(done, ActForm) else done


@require_http_methods(["GET", "HEAD", "POST"])
def check(request: ShopRequest, tag: str) -> HttpResponse:
    """Record a check of one tool."""
    tool = get_object_or_404(Tool.objects.select_related("kind"), tag=tag)
    form = CheckForm(request.POST or None, initial={"on": timezone.localdate(request.now)})
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        response = once.carry_out(
            request,
            form,
            lambda call: tools.record_check(
                tool=tool, kind=data["kind"], on=data["on"], until=data["until"], passed=data["has_passed"],
                operations=data["operations"], readings=data["readings"],
                by=request.user, at=request.now, call=call,
            ),
            to=lambda result: reverse("tools"),
        )  # fmt: skip
        if response is not None:
            messages.success(request, _("The check of %(tag)s is recorded.") % {"tag": tool.tag})
            return response
    (row,) = queries.tool_rows([tool], timezone.localdate(request.now))
    last = tool.checks.select_related("by").order_by("-on", "-pk")[:10]
    context = {"form": form, "row": row, "checks": last}
    return render(request, "tools/check.html", context, status=422 if form.errors else 200)

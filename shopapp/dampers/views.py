"""The list of dampers. A damper's own page is in web/."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shopapp.dampers import queries
from shopapp.people.requests import ShopRequest

PAGE = 50


@require_safe
def dampers(request: ShopRequest) -> HttpResponse:
    """List dampers by maker and serial; `q` narrows by tag, serial, maker or model."""
    text = request.GET.get("q", "")[:120]
    page = Paginator(queries.dampers(text), PAGE).get_page(request.GET.get("page"))
    return render(request, "dampers/dampers.html", {"page_obj": page, "q": text})

"""What every request passes: an id for the log, headers, unreadable text refused, the shop's zone and clock."""

from __future__ import annotations

import uuid
import zoneinfo
from collections.abc import Callable

import structlog
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _

from shopapp.shop.queries import this_shop

Respond = Callable[[HttpRequest], HttpResponse]


class RequestIdMiddleware:
    """Bind a request id to the log lines of a request and answer it as a header."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request_id = uuid.uuid4().hex[:12]
        structlog.contextvars.bind_contextvars(request_id=request_id)
        try:
            response = self.get_response(request)
        finally:
            structlog.contextvars.unbind_contextvars("request_id")
        response["X-Request-Id"] = request_id
        return response


class PermissionsPolicyMiddleware:
    """Allow the camera to our own pages and nothing else; say that pages differ for htmx requests."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response["Permissions-Policy"] = "camera=(self), microphone=(), geolocation=(), payment=(), usb=()"
        if response.get("Content-Type", "").startswith("text/html"):
            response["Cache-Control"] = "no-store"
            response["Vary"] = ", ".join(filter(None, [response.get("Vary", ""), "HX-Request"]))
        return response


class BadTextMiddleware:
    """Refuse addresses with characters that no database keeps (NUL) in a sentence, not with a 500."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if "\0" in request.path or any(
            "\0" in text for pair in request.GET.lists() for text in (pair[0], *pair[1])
        ):
            words = _("The address has a character that cannot be stored. Type it again.")
            return HttpResponseBadRequest(render_to_string("400.html", {"words": words}))
        return self.get_response(request)


class ShopTimeMiddleware:
    """Give the request its moment (`request.now`), the shop's row and the shop's zone.

    What watches the server has no shop: it is answered while the database does not answer.
    """

    WATCHED = frozenset(("/healthz", "/readyz"))

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.now = timezone.now()  # type: ignore[attr-defined]
        shop = None if request.path_info in self.WATCHED else this_shop()
        request.shop = shop  # type: ignore[attr-defined]
        zone = shop.zone if shop else "UTC"
        with timezone.override(zoneinfo.ZoneInfo(zone)):
            return self.get_response(request)

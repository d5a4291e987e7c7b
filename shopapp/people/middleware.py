"""Who is asking, from which device, and whether they may: deny by default."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed, JsonResponse

from shopapp.people import rights
from shopapp.people.services import devices

Respond = Callable[[HttpRequest], HttpResponse]


class DeviceMiddleware:
    """Find the device by its cookie. The row is made at sign-in, never by a GET."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.device = devices.find(request.COOKIES.get(devices.COOKIE, ""))  # type: ignore[attr-defined]
        response = self.get_response(request)
        new = getattr(request, "new_device_cookie", "")
        if new:
            response.set_cookie(
                devices.COOKIE,
                new,
                max_age=devices.COOKIE_SECONDS,
                secure=settings.SESSION_COOKIE_SECURE,
                httponly=True,
                samesite="Lax",
            )
        return response


class RightsMiddleware:
    """Hold the table of rights for every view."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_view: Any) -> HttpResponse | None:
        name = request.resolver_match.view_name if request.resolver_match else ""
        right = rights.RIGHTS.get(name)
        if right is None:
            raise PermissionDenied
        if right.session == "log-in":
            refused = self._log_in_refused(request, right)
            if refused is not None:
                return refused
        method = "GET" if request.method in ("HEAD", "OPTIONS") else request.method
        if method not in right.methods:
            return HttpResponseNotAllowed(sorted(right.methods))
        return None

    def _log_in_refused(self, request: HttpRequest, right: rights.Right) -> HttpResponse | None:
        person = request.user
        device = request.device  # type: ignore[attr-defined]
        if not person.is_authenticated or (device is not None and device.revoked_at is not None):
            return _ask_to_sign_in(request)
        if not (right.roles & person.roles):  # type: ignore[union-attr]
            raise PermissionDenied
        return None


def _ask_to_sign_in(request: HttpRequest) -> HttpResponse:
    """Lead to the sign-in page: by redirect, by HX-Redirect, or as JSON for the bench page's own requests."""
    if request.path.startswith("/bench/") and "json" in request.headers.get("Accept", ""):
        return JsonResponse({"error": "signed out"}, status=401)
    redirect = redirect_to_login(request.get_full_path() if request.method == "GET" else "/")
    if not request.headers.get("HX-Request"):
        return redirect
    response = HttpResponse(status=204)
    response["HX-Redirect"] = redirect["Location"]
    return response

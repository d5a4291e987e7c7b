"""Signing in and out, the first owner, one's own page."""

from __future__ import annotations

import ipaddress
from datetime import datetime

from django.contrib import messages
from django.contrib.auth import login, logout, update_session_auth_hash
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from shopapp.people import once
from shopapp.people.forms import OwnPasswordForm, SetUpForm, SignInForm
from shopapp.people.models import Device
from shopapp.people.requests import ShopRequest
from shopapp.people.services import devices, signing_in, staff
from shopapp.shop.services.acts import AlreadyDone, DoneDifferently, Refused
from shopapp.shop.services.the_shop import ShopDetails

BACKEND = "django.contrib.auth.backends.ModelBackend"


@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: ShopRequest) -> HttpResponse:
    form = SignInForm(request.POST or None, initial={"next": request.GET.get("next", "")[:300]})
    if request.method == "POST" and form.is_valid():
        device, new = devices.know_device(
            cookie=request.COOKIES.get(devices.COOKIE, ""),
            at=request.now,
            name=request.headers.get("User-Agent", "")[:60],
        )
        request.new_device_cookie = new
        person = signing_in.check_sign_in(
            login_name=form.cleaned_data["login_name"],
            password=form.cleaned_data["password"],
            device=device,
            at=request.now,
        ).person
        if person is not None:
            login(request, person, backend=BACKEND)
            return HttpResponseRedirect(_safe_next(request, form.cleaned_data["next"]))
        form.add_error(None, _wrong(form.cleaned_data["login_name"], device, request.now))
    return render(request, "people/sign_in.html", {"form": form}, status=422 if form.errors else 200)


def _wrong(login_name: str, device: Device | None, at: datetime) -> str:
    if signing_in.is_locked(login_name=login_name, device=device, at=at):
        return _("Too many wrong attempts. Wait 15 minutes, or ask the owner for a new password.")
    return _("Log-in name and password do not go together. Type both again.")


def _safe_next(request: ShopRequest, target: str) -> str:
    if target and url_has_allowed_host_and_scheme(target, {request.get_host()}, request.is_secure()):
        return target
    return reverse("home")


@require_POST
def sign_out(request: ShopRequest) -> HttpResponse:
    logout(request)
    return HttpResponseRedirect(reverse("sign-in"))


@never_cache
@sensitive_post_parameters("password", "again")
@require_http_methods(["GET", "HEAD", "POST"])
def set_up(request: ShopRequest, secret: str) -> HttpResponse:
    """Let the first owner in: by the link of the first start, once, from this machine."""
    if not _from_this_machine(request) or not staff.owner_link_good(secret):
        raise Http404
    form = SetUpForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            staff.set_up_owner(
                secret=secret,
                details=ShopDetails(
                    name=data["shop_name"], zone=data["zone"], currency=data["currency"]
                ), login_name=data["login_name"], name=data["name"], initials=data["initials"],
                password=data["password"], at=request.now,
            )  # fmt: skip
        except Refused as no:
            form.add_error(no.field if no.field in form.fields else None, no.sentence)
        except (AlreadyDone, DoneDifferently):
            raise Http404 from None
        else:
            messages.success(request, _("The owner is set up. Sign in."))
            return HttpResponseRedirect(reverse("sign-in"))
    return render(request, "people/set_up.html", {"form": form}, status=422 if form.errors else 200)


def _from_this_machine(request: ShopRequest) -> bool:
    try:
        return ipaddress.ip_address(request.META.get("REMOTE_ADDR", "")).is_loopback
    except ValueError:
        return False


@sensitive_post_parameters("old", "password", "again")
@require_http_methods(["GET", "HEAD", "POST"])
def me(request: ShopRequest) -> HttpResponse:
    """Show one's own page: name, roles, skills; change one's password."""
    form = OwnPasswordForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: staff.change_own_password(
                person=request.user,
                old=form.cleaned_data["old"],
                password=form.cleaned_data["password"],
                at=request.now,
                call=call,
            ),
            to=lambda result: reverse("me"),
        )
        if response is not None:
            update_session_auth_hash(request, request.user)
            messages.success(request, _("Your password is changed."))
            return response
    return render(request, "people/me.html", {"form": form}, status=422 if form.errors else 200)

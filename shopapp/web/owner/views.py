"""The owner's pages: what there is to keep, a list and a form for each thing, the acts, the outbox."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.shop import queries as shop_queries
from shopapp.shop.paging import paged
from shopapp.shop.services import outbox_again, the_shop
from shopapp.web.forms.acts import ActsFilter
from shopapp.web.owner import forms, load, load_data, things  # noqa: F401  (they fill the registry)
from shopapp.web.owner.things import Asked, Thing
from shopapp.web.owner.uses import SOURCES, uses_of
from shopapp.web.queries import outbox_lines
from shopapp.web.queries.changes import told
from shopapp.web.queries.to_look_at import to_look_at


@require_safe
def owner(request: ShopRequest) -> HttpResponse:
    """Show what the owner keeps and what needs the owner's eye."""
    listed = [
        {
            "title": thing.title,
            "url": reverse(f"owner-{slug}"),
            "count": thing.rows().count(),
            "note": thing.note,
        }
        for slug, thing in things.REGISTRY.items()
    ]
    return render(
        request,
        "owner/owner.html",
        {
            "things": listed,
            "looks": to_look_at(request.now),
            "trouble": shop_queries.outbox_trouble()[:10],
            "acts": shop_queries.acts()[:8],
        },
    )


def _thing(slug: str) -> Thing:
    if slug not in things.REGISTRY:
        raise Http404
    return things.REGISTRY[slug]


@require_safe
def listed(request: ShopRequest, slug: str) -> HttpResponse:
    thing = _thing(slug)
    page = paged(request, thing.rows())
    used = uses_of(slug, [row.pk for row in page])
    rows = [
        {
            "pk": row.pk,
            "used": used.get(row.pk, ""),
            "cells": list(zip(thing.captions, thing.cells(row), strict=True)),
            "gone": thing.gone(row),
            "url": reverse(f"owner-{slug}-change", args=[row.pk]) if thing.change else "",
        }
        for row in page
    ]
    new = reverse(f"owner-{slug}-new")
    context = {"thing": thing, "page_obj": page, "rows": rows, "new": new, "uses": slug in SOURCES}
    return render(request, "owner/list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: ShopRequest, slug: str) -> HttpResponse:
    thing = _thing(slug)
    form = thing.form(request.POST or None, row=None, request=request)
    if request.method == "POST" and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: thing.add(form, Asked(request.user, request.now, call)),
            to=lambda result: reverse(f"owner-{slug}"),
        )
        if response is not None:
            messages.success(request, _("%s is added.") % str(thing.one).capitalize())
            return response
    return _form_page(request, thing, form, None)


@require_http_methods(["GET", "HEAD", "POST"])
def change(request: ShopRequest, slug: str, pk: int) -> HttpResponse:
    thing = _thing(slug)
    if thing.change is None:
        raise Http404
    row = get_object_or_404(thing.rows(), pk=pk)
    form = thing.form(request.POST or None, row=row, request=request)
    if request.method == "POST" and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: thing.change(row, form, Asked(request.user, request.now, call)),  # type: ignore[misc]
            to=lambda result: reverse(f"owner-{slug}"),
        )
        if response is not None:
            messages.success(request, _("%s is changed.") % str(thing.one).capitalize())
            return response
    return _form_page(request, thing, form, row)


def _form_page(request: ShopRequest, thing: Thing, form: Any, row: Any) -> HttpResponse:
    history = told(shop_queries.history(thing.subject, row.pk)[:20]) if row and thing.subject else []
    return render(
        request,
        "owner/form.html",
        {
            "thing": thing,
            "form": form,
            "row": row,
            "back": reverse(f"owner-{thing.slug}"),
            "history": history,
            "more": thing.more(row) if row else [],
            "used": uses_of(thing.slug, [row.pk]).get(row.pk, "") if row else "",
        },
        status=422 if form.errors else 200,
    )


@require_http_methods(["GET", "HEAD", "POST"])
def the_shop_page(request: ShopRequest) -> HttpResponse:
    """Change the shop's own details."""
    if request.shop is None:
        raise Http404
    shop = request.shop
    form = forms.ShopForm(request.POST or None, row=shop, request=request)
    if request.method == "POST" and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: the_shop.change_shop(
                shop=shop,
                revision=form.expected,
                details=form.details(),
                by=request.user,
                at=request.now,
                call=call,
            ),
            to=lambda result: reverse("owner-shop"),
        )
        if response is not None:
            messages.success(request, _("The shop's details are changed."))
            return response
    context = {"form": form, "history": told(shop_queries.history("shop", 1)[:20])}
    return render(request, "owner/shop.html", context, status=422 if form.errors else 200)


@require_safe
def acts(request: ShopRequest) -> HttpResponse:
    """Show everything that was done, newest first; one verb, and up to a day, where asked."""
    form = ActsFilter(request.GET)
    form.is_valid()
    asked = form.cleaned_data
    page = paged(request, shop_queries.acts(verb=asked.get("verb", ""), until=asked.get("until")))
    page.object_list = told(page.object_list)
    context = {
        "form": form,
        "page_obj": page,
        "narrowed": any(asked.values()),
        "all_shown": page.paginator.count < shop_queries.MOST_ACTS,
    }
    return render(request, "owner/acts.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def outbox(request: ShopRequest) -> HttpResponse:
    """Show what the outbox could not do; the owner may let a row be tried again."""
    form = forms.OutboxForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: outbox_again.plan_again(
                row=form.cleaned_data["row"], by=request.user, at=request.now, call=call
            ),
            to=lambda result: reverse("owner-outbox"),
        )
        if response is not None:
            messages.success(request, _("It is planned again."))
            return response
    page = paged(request, shop_queries.outbox_rows())
    context = {"page_obj": page, "lines": outbox_lines.lines(page), "form": form}
    return render(request, "owner/outbox.html", context, status=422 if form.errors else 200)

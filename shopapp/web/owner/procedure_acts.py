"""What the owner does with a procedure as a whole: begin, name, release, discard, retire."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm, RevisionForm
from shopapp.shop.services.acts import Call
from shopapp.specs import services as specs
from shopapp.specs.models import Procedure
from shopapp.specs.services.procedure_faults import faults_in
from shopapp.web.owner.procedure_forms import BeginForm, HeadForm
from shopapp.web.queries import procedures as queries

form_methods = require_http_methods(["GET", "HEAD", "POST"])


def page_of(result: dict[str, Any]) -> str:
    """Give the page to go to after an act: the procedure, or the list where there is none any more."""
    pk = result.get("procedure")
    return reverse("owner-procedure", args=[pk]) if pk else reverse("owner-procedures")


def draft_of(request: ShopRequest, pk: int) -> Procedure:
    """Give a draft; a released version has no such page, but who posts to it is told so (or finds the first result)."""
    row = get_object_or_404(Procedure, pk=pk)
    if row.released_at is not None and request.method != "POST":
        raise Http404
    return row


def carry_out(
    request: ShopRequest, form: Form, do: Callable[[Call], Any], done: str
) -> HttpResponseRedirect | None:
    """Do an act on a procedure and go to its page with a word; None where the form says what is wrong."""
    response = once.carry_out(request, form, do, to=page_of)
    if response is not None:
        messages.success(request, done)
    return response


def plainly(
    request: ShopRequest, form: Form, do: Callable[[Call], Any], done: str, back: str
) -> HttpResponse:
    """Do an act that has nothing to fill in; what is wrong is said on the page it was asked from."""
    if form.is_valid():
        response = carry_out(request, form, do, done)
        if response is not None:
            return response
    for error in form.non_field_errors() or [
        _("This page was not complete when it was sent. Load it again.")
    ]:
        messages.error(request, str(error))
    return HttpResponseRedirect(back)


@form_methods
def begin(request: ShopRequest) -> HttpResponse:
    """Begin a procedure of another name."""
    form = BeginForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        said = {name: form.cleaned_data[name] for name in ("name", "work", "construction", "like")}
        response = carry_out(
            request,
            form,
            lambda call: specs.begin_procedure(**said, by=request.user, at=request.now, call=call),
            _("The procedure is begun. It is a draft until it is released."),
        )
        if response is not None:
            return response
    return render(request, "owner/procedure_head.html", {"form": form}, status=422 if form.errors else 200)


@require_POST
def renew(request: ShopRequest, pk: int) -> HttpResponse:
    """Begin the next version with the steps of this one."""
    row = get_object_or_404(Procedure, pk=pk)
    return plainly(
        request,
        ActForm(request.POST),
        lambda call: specs.renew_procedure(procedure=row, by=request.user, at=request.now, call=call),
        _("The next version is begun as a draft. Jobs take it once it is released."),
        reverse("owner-procedure", args=[pk]),
    )


@form_methods
def head(request: ShopRequest, pk: int) -> HttpResponse:
    """Change what a draft is called and what it is for."""
    row = draft_of(request, pk)
    known = {name: getattr(row, name) for name in ("name", "work", "construction", "revision")}
    form = HeadForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        said = {name: form.cleaned_data[name] for name in known}
        response = carry_out(
            request,
            form,
            lambda call: specs.name_procedure(
                procedure=row, **said, by=request.user, at=request.now, call=call
            ),
            _("What the draft is for is changed."),
        )
        if response is not None:
            return response
    context = {"form": form, "row": row}
    return render(request, "owner/procedure_head.html", context, status=422 if form.errors else 200)


@form_methods
def release(request: ShopRequest, pk: int) -> HttpResponse:
    """Ask once more before a draft is released: what is new in it, which jobs keep the old one."""
    row = draft_of(request, pk)
    form = RevisionForm(request.POST or None, initial={"revision": row.revision})
    if request.method == "POST" and form.is_valid():
        response = carry_out(
            request,
            form,
            lambda call: specs.release_procedure(
                procedure=row,
                revision=form.cleaned_data["revision"],
                by=request.user,
                at=request.now,
                call=call,
            ),
            _("The version is released. New jobs take it."),
        )
        if response is not None:
            return response
    before = queries.version_before(row)
    context = {
        "row": row, "form": form, "faults": faults_in(row), "before": before,
        "changes": queries.changes_since(row, before), "workers": queries.workers(row),
    }  # fmt: skip
    return render(request, "owner/procedure_release.html", context, status=422 if form.errors else 200)


@require_POST
def discard(request: ShopRequest, pk: int) -> HttpResponse:
    """Throw a draft away as it was seen; a repeat is led to where the first one led."""
    row = Procedure.objects.filter(pk=pk).first() or Procedure(pk=pk)
    form = RevisionForm(request.POST)
    return plainly(
        request,
        form,
        lambda call: specs.discard_draft(
            procedure=row, revision=form.cleaned_data["revision"], by=request.user, at=request.now, call=call
        ),
        _("The draft is discarded. Nothing that is released was changed."),
        page_of({"procedure": pk if row.name else None}),
    )


@require_POST
def retire(request: ShopRequest, pk: int) -> HttpResponse:
    """Retire a procedure with all its versions."""
    row = get_object_or_404(Procedure, pk=pk)
    return plainly(
        request,
        ActForm(request.POST),
        lambda call: specs.retire_procedure(procedure=row, by=request.user, at=request.now, call=call),
        _("The procedure is retired. New jobs take none of its versions; running jobs keep theirs."),
        reverse("owner-procedure", args=[pk]),
    )

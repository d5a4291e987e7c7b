"""The owner works on the steps of a draft: each has a page, moving is a button, two people see each other's work."""

from __future__ import annotations

from typing import Any, cast

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm
from shopapp.specs import services as specs
from shopapp.specs.models import STAGES, Procedure, Step
from shopapp.specs.procedure_changes import FIELD_NAMES, shown
from shopapp.specs.services.procedure_docs import fields_of, seen
from shopapp.specs.services.procedure_faults import faults_in
from shopapp.web.owner.procedure_acts import draft_of, form_methods, plainly
from shopapp.web.owner.procedure_forms import SeenForm, StepForm
from shopapp.web.owner.procedures import preview_choice


def _step_of(draft: Procedure, pk: int) -> Step:
    """Give a step; of one that is gone only its id: whoever asked is told so, and a repeat finds its first result."""
    if pk >= 2**63:
        raise Http404
    found = Step.objects.select_related("procedure").filter(pk=pk, procedure=draft).first()
    return found or Step(pk=pk, procedure=draft)


def _at_step(result: dict[str, Any]) -> str:
    """Give the draft's page at a step, with its preview opened there too."""
    return f"{reverse('owner-procedure', args=[result['procedure']])}?step={result['step']}#step-{result['step']}"


@form_methods
def new(request: ShopRequest, pk: int) -> HttpResponse:
    """Add a step at the end of a sheet."""
    draft = draft_of(request, pk)
    stage = request.GET.get("stage", "")
    known = {"stage": stage if stage in dict(STAGES) else "receive", "kind": "do", "required": True}
    form = StepForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: specs.add_step(
                procedure=draft, fields=form.fields_in(), by=request.user, at=request.now, call=call
            ),
            to=_at_step,
        )
        if response is not None:
            messages.success(request, _("The step is added."))
            return response
    return _page(request, draft, form)


@form_methods
def change(request: ShopRequest, pk: int, step_pk: int) -> HttpResponse:
    """Change a step; where somebody else changed it meanwhile, both versions are shown and nothing is lost."""
    draft = draft_of(request, pk)
    step = _step_of(draft, step_pk)
    if not step.code and request.method != "POST":
        raise Http404
    form = StepForm(request.POST or None, step=step, initial={"was": seen(step)})
    theirs: list[tuple[str, str, str]] = []
    if request.method == "POST" and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: specs.change_step(
                step=step, was=form.cleaned_data["was"], fields=form.fields_in(), by=request.user, at=request.now,
                call=call,
            ),
            to=_at_step,
        )  # fmt: skip
        if response is not None:
            messages.success(request, _("The step is changed."))
            return response
        theirs = _both(form, step)
    return _page(request, draft, form, step, theirs)


def _both(form: StepForm, step: Step) -> list[tuple[str, str, str]]:
    """Give field, what stands there now, what was typed here; the form may then be sent over what stands there."""
    now = Step.objects.filter(pk=step.pk).first()
    if now is None or seen(now) == form.cleaned_data["was"]:
        return []
    data = cast("QueryDict", form.data).copy()
    data["was"] = seen(now)
    form.data = data
    stands, typed = fields_of(now), form.fields_in()
    return [
        (str(words), shown(name, stands[name]), shown(name, typed[name]))
        for name, words in FIELD_NAMES.items()
        if stands[name] != typed[name]
    ]


def _page(
    request: ShopRequest, draft: Procedure, form: StepForm, step: Step | None = None, theirs: Any = ()
) -> HttpResponse:
    at_step = [fault.sentence for fault in faults_in(draft) if step is not None and fault.code == step.code]
    context = {
        **preview_choice(request, draft), "row": draft, "form": form, "step": step, "theirs": theirs, "faults": at_step,
    }  # fmt: skip
    if step is not None:
        context["look"] = step.pk
        context["remove"] = SeenForm(initial={"was": seen(step)}, auto_id="remove_%s")
    return render(request, "owner/step.html", context, status=422 if form.errors else 200)


@require_POST
def move(request: ShopRequest, pk: int) -> HttpResponse:
    """Move a step up or down inside its sheet: the button pressed says which step, and which way."""
    draft = draft_of(request, pk)
    way = "up" if "up" in request.POST else "down"
    text = request.POST.get(way, "")
    step = _step_of(draft, int(text) if text.isascii() and text.isdigit() and len(text) < 19 else 0)
    form = ActForm(request.POST)
    page = reverse("owner-procedure", args=[pk])
    if form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: specs.move_step(
                step=step, by_places=-1 if way == "up" else 1, by=request.user, at=request.now, call=call
            ),
            to=_at_step,
        )
        if response is not None:
            return response
    for error in form.non_field_errors() or [
        _("This page was not complete when it was sent. Load it again.")
    ]:
        messages.error(request, str(error))
    return HttpResponseRedirect(f"{page}#step-{step.pk}")


@require_POST
def remove(request: ShopRequest, pk: int, step_pk: int) -> HttpResponse:
    """Take a step out of a draft."""
    draft = draft_of(request, pk)
    step = _step_of(draft, step_pk)
    form = SeenForm(request.POST)
    return plainly(
        request,
        form,
        lambda call: specs.remove_step(
            step=step, was=form.cleaned_data["was"], by=request.user, at=request.now, call=call
        ),
        _("The step is taken out."),
        reverse("owner-step", args=[pk, step_pk]) if step.code else reverse("owner-procedure", args=[pk]),
    )

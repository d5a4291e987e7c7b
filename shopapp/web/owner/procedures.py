"""The owner's procedures: the list, one with its versions or as a draft in work, and its sheet as a preview."""

from __future__ import annotations

from typing import Any

from csp.constants import NONE
from csp.decorators import csp_replace
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_safe

from shopapp.bench.queries import preview as previews
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm
from shopapp.specs.models import Procedure
from shopapp.specs.services.procedure_docs import as_file
from shopapp.specs.services.procedure_faults import faults_in
from shopapp.web.owner.procedure_forms import RevisionForm
from shopapp.web.queries import procedures as queries
from shopapp.web.queries.changes import told

ACTS_SHOWN = 20


@require_safe
def procedures(request: ShopRequest) -> HttpResponse:
    """List the procedures with their versions."""
    rows = Procedure.objects.order_by("name", "-version")
    return render(request, "owner/procedures.html", {"rows": rows})


@require_safe
def procedure(request: ShopRequest, pk: int) -> HttpResponse:
    """Show a procedure stage by stage; a draft with what is still wrong at each step, and its sheet beside it."""
    row = get_object_or_404(Procedure, pk=pk)
    draft = row.released_at is None
    faults = faults_in(row) if draft else []
    found = queries.versions(row)
    before = queries.version_before(row)
    context = {
        "row": row, "stages": queries.stage_lines(row, faults), "faults": faults,
        "whole": queries.whole_faults(faults), "before": before, "changes": queries.changes_since(row, before),
        "versions": found, "workers": queries.workers(row), "history": told(queries.history(found)[:ACTS_SHOWN]),
        "form": ActForm(), "other": RevisionForm(initial={"revision": row.revision}, auto_id="other_%s"),
        **preview_choice(request, row),
    }  # fmt: skip
    return render(request, "owner/draft.html" if draft else "owner/procedure.html", context)


def preview_choice(request: ShopRequest, row: Procedure) -> dict[str, Any]:
    """Give the models that a preview may be of, the one that it is of, and the step that it opens at."""
    models = list(previews.models_for(row)[:200])
    asked = request.GET.get("model", "")
    model = next((model for model in models if str(model.pk) == asked), models[0] if models else None)
    step = request.GET.get("step", "")[:20]
    return {"models": models, "model": model, "look": step if step.isascii() and step.isdigit() else ""}


@never_cache
@require_safe
@xframe_options_sameorigin
@csp_replace({"connect-src": [NONE], "form-action": [NONE]})  # type: ignore[arg-type]
def preview(request: ShopRequest, pk: int) -> HttpResponse:
    """Show the bench sheet of a procedure as the technician will see it. It records nothing, and asks no address."""
    row = get_object_or_404(Procedure, pk=pk)
    model = preview_choice(request, row)["model"]
    stage, step = (request.GET.get(name, "")[:20] for name in ("stage", "step"))
    document, drawing = previews.preview(
        row, model, stage=stage, step=step, person=request.user, at=request.now
    )
    again = f"{reverse('owner-procedure-preview', args=[row.pk])}?model={model.pk if model else ''}"
    context = {"sheet": document, "drawing": drawing, "again": again, "procedure": row}
    return render(request, "owner/preview.html", context)


@require_safe
def procedure_file(request: ShopRequest, pk: int) -> HttpResponse:
    """Give a procedure as the file it would ship as."""
    row = get_object_or_404(Procedure, pk=pk)
    response = HttpResponse(as_file(row), content_type="application/json; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="procedure-{row.pk}-version-{row.version}.json"'
    return response

"""A procedure as a bench sheet before any damper is worked by it: a made-up job that is written nowhere.

The document is the real one and the page is the real one; the page is told to keep what is tapped to itself.
"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from shopapp.bench.queries.drawn import drawing
from shopapp.bench.queries.reading import Sheet
from shopapp.bench.queries.sheet import document_of
from shopapp.bench.queries.steps import sheet_steps, spec_figures
from shopapp.dampers.models import Damper, DamperModel
from shopapp.orders.models import Job, WorkOrder, WorkType
from shopapp.shop.queries import this_shop
from shopapp.specs.models import Procedure, ServiceSpec

if TYPE_CHECKING:
    from shopapp.drawings.svg import Svg
    from shopapp.people.models import Person

NOWHERE = 0
"""The id of what is made up: no row has it."""
TAG = "00000000"


def models_for(procedure: Procedure) -> QuerySet[DamperModel]:
    """List the damper models that a procedure is for, those with a released sheet of figures first."""
    rows = DamperModel.objects.filter(retired_at__isnull=True)
    if procedure.construction:
        rows = rows.filter(construction=procedure.construction)
    return rows.order_by("maker", "name")


def preview_sheet(procedure: Procedure, model: DamperModel | None) -> Sheet:
    """Make the sheet that a damper of `model` (None: of a model that nobody knows) would get by this procedure."""
    job = _made_up(procedure, model)
    shop, found = this_shop(), spec_figures(job)
    sheet = Sheet(job=job, shop=shop, figures=found, steps=sheet_steps(job, found, shop), entries=[])
    sheet.findings = []  # type: ignore[misc]
    return sheet


def preview(
    procedure: Procedure,
    model: DamperModel | None,
    *,
    stage: str = "",
    step: str = "",
    person: Person,
    at: datetime,
) -> tuple[dict[str, Any], Svg | str]:
    """Give document and drawing of a procedure's preview; it opens at a stage, or at a step by its id."""
    sheet = preview_sheet(procedure, model)
    document = document_of(sheet, person, at)
    document["preview"] = {"stage": stage, "step": step}
    document["job"] |= {"tag_text": _("Preview"), "order": "–", "damper": str(model or _("any damper"))}
    return document, drawing(sheet)


def _made_up(procedure: Procedure, model: DamperModel | None) -> Job:
    work = WorkType(pk=NOWHERE, name=procedure.work, procedure_name=procedure.name)
    damper = Damper(pk=NOWHERE, tag=TAG, model=model)
    order = WorkOrder(pk=NOWHERE, number=NOWHERE)
    return Job(
        pk=NOWHERE, order=order, number=1, damper=damper, work_type=work, procedure=procedure, spec=_spec_of(model),
        state=Job.State.PLANNED,
    )  # fmt: skip


def _spec_of(model: DamperModel | None) -> ServiceSpec | None:
    """Give the newest released sheet of a model, of whichever variant: nobody builds anything to it here."""
    if model is None:
        return None
    rows = ServiceSpec.objects.filter(model=model, damper__isnull=True, released_at__isnull=False)
    return rows.select_related("model").prefetch_related("figures").order_by("-issue", "-released_at").first()

"""Service specifications: drafted, changed while a draft, released, renewed as the next issue.

A released sheet is frozen by triggers with its figures, kits and tools: jobs that were built to it keep it.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils.translation import gettext as _

from shopapp.dampers.models import Damper, DamperModel
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.specs.figures import NAMES
from shopapp.specs.models import ServiceSpec, SpecFigure, SpecKit, SpecTool
from shopapp.specs.services import checking
from shopapp.specs.services.figures_in import FigureIn, SpecKitIn, SpecToolIn

if TYPE_CHECKING:
    from shopapp.calc.units import Measurement
    from shopapp.people.models import Person


def draft_spec(
    *,
    model: DamperModel,
    variant: str = "",
    damper: Damper | None = None,
    basis: str,
    source: str,
    sheet_date: date | None = None,
    depth_to: str = "gas_face",
    figures: Sequence[FigureIn] = (),
    kits: Sequence[SpecKitIn] = (),
    tools: Sequence[SpecToolIn] = (),
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> ServiceSpec:
    """Draft the first issue of a sheet for a model and variant, or for one damper tuned away from it."""
    with acts.doing("draft_spec", call=call, by=by, at=at, within=within) as act:
        spec = ServiceSpec(
            model=model, variant=variant.strip(), damper=damper, basis=basis, source=source.strip(),
            sheet_date=sheet_date, depth_to=depth_to, entered_by=by,
        )  # fmt: skip
        _check(spec, figures, kits, tools)
        _refuse_second(spec)
        _add(spec)
        _fill(spec, figures, kits, tools)
        act.about("spec", spec.pk)
        act.result = {"spec": spec.pk}
    return spec


def change_draft(
    *,
    spec: ServiceSpec,
    revision: int | None,
    basis: str,
    source: str,
    sheet_date: date | None = None,
    depth_to: str = "gas_face",
    figures: Sequence[FigureIn] = (),
    kits: Sequence[SpecKitIn] = (),
    tools: Sequence[SpecToolIn] = (),
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> ServiceSpec:
    """Change a draft: what is handed in replaces all figures, kits and tools it had."""
    with acts.doing("change_draft", call=call, by=by, at=at, within=within) as act:
        _refuse_released(spec)
        acts.raise_revision(spec, revision, what=str(spec))
        spec.basis, spec.source = basis, source.strip()
        spec.sheet_date, spec.depth_to = sheet_date, depth_to
        _check(spec, figures, kits, tools)
        spec.save(update_fields=["basis", "source", "sheet_date", "depth_to"])
        for row_type in (SpecFigure, SpecKit, SpecTool):
            row_type._default_manager.filter(spec=spec).delete()
        _fill(spec, figures, kits, tools)
        act.about("spec", spec.pk)
        act.result = {"spec": spec.pk}
    return spec


def release_spec(
    *, spec: ServiceSpec, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> ServiceSpec:
    """Release a draft: from then on its figures never change, and new jobs are built to it."""
    with acts.doing("release_spec", call=call, by=by, at=at, within=within) as act:
        # Taken first: it locks the row, so the figures checked below are the ones released.
        hit = ServiceSpec.objects.filter(pk=spec.pk, released_at__isnull=True).update(
            released_at=at, revision=F("revision") + 1
        )
        if not hit:
            raise Refused(_("%(spec)s is released already.") % {"spec": spec})
        checking.check_complete(list(SpecFigure.objects.filter(spec=spec)), spec.model.construction)
        spec.refresh_from_db()
        act.about("spec", spec.pk)
        act.result = {"spec": spec.pk}
    return spec


def renew_spec(
    *, spec: ServiceSpec, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> ServiceSpec:
    """Begin the next issue of a released sheet as a draft with the same figures, kits and tools."""
    with acts.doing("renew_spec", call=call, by=by, at=at, within=within) as act:
        if spec.released_at is None:
            raise Refused(_("%(spec)s is a draft: change it as it is.") % {"spec": spec})
        later = ServiceSpec.objects.filter(replaces=spec).first()
        if later is not None:
            raise Refused(_("There is a later issue already: %(later)s.") % {"later": later})
        new = ServiceSpec(
            model=spec.model, variant=spec.variant, damper=spec.damper, basis=spec.basis, source=spec.source,
            sheet_date=spec.sheet_date, depth_to=spec.depth_to, entered_by=by, issue=spec.issue + 1, replaces=spec,
        )  # fmt: skip
        _add(new)
        for row_type in (SpecFigure, SpecKit, SpecTool):
            _copy(row_type, spec, new)
        act.about("spec", new.pk)
        act.result = {"spec": new.pk}
    return new


def _check(
    spec: ServiceSpec, figures: Sequence[FigureIn], kits: Sequence[SpecKitIn], tools: Sequence[SpecToolIn]
) -> None:
    if not spec.source:
        raise Refused(
            _("Say where the figures come from: the sheet's name, or who measured them."), field="source"
        )
    if spec.basis not in ServiceSpec.Basis.values:
        raise Refused(_("Say whose figures these are."), field="basis")
    if spec.depth_to not in ("gas_face", "oil_face"):
        raise Refused(_("Say to which face of the IFP the depth is measured."), field="depth_to")
    if spec.damper is not None and spec.damper.model_id != spec.model_id:
        raise Refused(_("This damper is not a %(model)s.") % {"model": spec.model}, field="damper")
    checking.check_figures(figures, model=spec.model, depth_to=spec.depth_to)
    checking.check_kits(kits)
    checking.check_tools(tools)


def _refuse_released(spec: ServiceSpec) -> None:
    if not ServiceSpec.objects.filter(pk=spec.pk, released_at__isnull=True).exists():
        raise Refused(_("%(spec)s is released and frozen. Begin its next issue instead.") % {"spec": spec})


def _refuse_second(spec: ServiceSpec) -> None:
    same = ServiceSpec.objects.filter(model=spec.model, variant=spec.variant, damper__isnull=True)
    if spec.damper is not None:
        same = ServiceSpec.objects.filter(damper=spec.damper)
    there = same.order_by("-issue").first()
    if there is None:
        return
    if there.released_at is None:
        raise Refused(
            _("There is a draft already: %(spec)s. Change that one.") % {"spec": there}, field="variant"
        )
    raise Refused(
        _("There is a sheet already: %(spec)s. Begin its next issue, or name another variant.")
        % {"spec": there},
        field="variant",
    )


def _add(spec: ServiceSpec) -> None:
    try:
        with transaction.atomic():
            spec.save(force_insert=True)
    except IntegrityError as problem:
        raise Refused(
            _("Somebody else has just begun this issue. Look at the list of sheets again."), field="variant"
        ) from problem


def _fill(
    spec: ServiceSpec, figures: Sequence[FigureIn], kits: Sequence[SpecKitIn], tools: Sequence[SpecToolIn]
) -> None:
    SpecFigure.objects.bulk_create(_figure_row(spec, figure) for figure in figures)
    SpecKit.objects.bulk_create(
        SpecKit(spec=spec, kit=line.kit, item=line.item, quantity=line.quantity, purpose=line.purpose)
        for line in kits
    )
    SpecTool.objects.bulk_create(
        SpecTool(spec=spec, kind=tool.kind, narrowing=tool.narrowing) for tool in tools
    )


def _figure_row(spec: ServiceSpec, figure: FigureIn) -> SpecFigure:
    row = SpecFigure(
        spec=spec, name=figure.name, position=figure.position, absolute=figure.absolute, words=figure.words.strip(),
        kind=NAMES[figure.name].kind,
    )  # fmt: skip
    for column in ("low", "target", "high"):
        value: Measurement | None = getattr(figure, column)
        if value is not None:
            setattr(row, f"{column}_si", value.si)
            setattr(row, f"{column}_unit", value.unit)
            setattr(row, f"{column}_text", value.text)
    return row


def _copy(
    row_type: type[SpecFigure] | type[SpecKit] | type[SpecTool], old: ServiceSpec, new: ServiceSpec
) -> None:
    for row in row_type._default_manager.filter(spec=old).order_by("pk"):
        row.pk, row.spec = None, new
        row._state.adding = True
        row.save(force_insert=True)

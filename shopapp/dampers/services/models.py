"""Adding and changing the makers' models of dampers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shopapp.dampers.models import Adjuster, DamperModel
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused

if TYPE_CHECKING:
    from django.db.models import QuerySet

    from shopapp.people.models import Person


@dataclass(frozen=True, slots=True)
class NewAdjuster:
    """One adjuster: its unit (clicks or turns), the stop it is counted from (closed or open), its range."""

    name: str
    unit: str = "clicks"
    counted_from: str = "closed"
    lowest: float = 0
    highest: float = 20


def add_model(
    *,
    maker: str,
    name: str,
    construction: str,
    adjusters: Sequence[NewAdjuster] = (),
    note: str = "",
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> DamperModel:
    """Add a maker's model with its adjusters, in the order they are counted."""
    with acts.doing("add_model", call=call, by=by, at=at, within=within) as act:
        model = DamperModel(construction=construction, note=note.strip())
        _save(model, maker, name)
        _keep_adjusters(model, adjusters)
        if within is None:
            act.about("model", model.pk)
            act.result = {"model": model.pk}
        return model


def change_model(
    *,
    model: DamperModel,
    revision: int,
    maker: str,
    name: str,
    construction: str,
    adjusters: Sequence[NewAdjuster],
    note: str = "",
    retired: bool = False,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> DamperModel:
    """Change a model, its adjusters included; a retired one is no longer offered."""
    with acts.doing("change_model", call=call, by=by, at=at, within=within) as act:
        acts.raise_revision(model, revision, what=str(model))
        act.change("maker", model.maker, maker.strip())
        act.change("name", model.name, name.strip())
        act.change("construction", model.construction, construction)
        act.change("retired", model.retired_at is not None, retired)
        model.construction, model.note = construction, note.strip()
        model.retired_at = (model.retired_at or at) if retired else None
        _save(model, maker, name)
        _keep_adjusters(model, adjusters)
        if within is None:
            act.about("model", model.pk)
            act.result = {"model": model.pk}
        return model


def _save(model: DamperModel, maker: str, name: str) -> None:
    if not maker.strip() or not name.strip():
        raise Refused(_("A model needs its maker and its name."), field="name" if maker.strip() else "maker")
    model.maker, model.name = maker.strip(), name.strip()
    try:
        with transaction.atomic():
            model.save()
    except IntegrityError as broken:
        if not DamperModel.objects.filter(maker=model.maker, name=model.name).exclude(pk=model.pk).exists():
            raise
        raise Refused(_("%s is in the list already. Change that one.") % model, field="name") from broken


def _refuse_counted(model: DamperModel, gone: QuerySet[Adjuster]) -> None:
    """Refuse to take away an adjuster while a damper of the model is in an open order: its clicks are counted there."""
    name = gone.values_list("name", flat=True).first()
    if name is None:
        return
    in_work = model.dampers.filter(jobs__is_open=True)
    numbers = sorted(set(in_work.values_list("jobs__order__number", flat=True)))
    if numbers:
        words = ngettext(
            "“%(adjuster)s” is counted in order %(orders)s, which is open. Keep it until that order is closed.",
            "“%(adjuster)s” is counted in orders %(orders)s, which are open. Keep it until those orders are closed.",
            len(numbers),
        )
        raise Refused(words % {"adjuster": name, "orders": ", ".join(map(str, numbers))}, field="adjusters")


def _keep_adjusters(model: DamperModel, adjusters: Sequence[NewAdjuster]) -> None:
    """Make the model's adjusters what is asked; one with the same name stays the row it was."""
    names = [adjuster.name.strip() for adjuster in adjusters]
    if len(set(names)) != len(names):
        raise Refused(_("Two adjusters have one name. Give each its own."), field="adjusters")
    if any(adjuster.highest <= adjuster.lowest for adjuster in adjusters):
        raise Refused(_("An adjuster's highest count must be above its lowest."), field="adjusters")
    gone = model.adjusters.exclude(name__in=names)
    _refuse_counted(model, gone)
    gone.delete()
    for order, adjuster in enumerate(adjusters, 1):
        Adjuster.objects.update_or_create(
            model=model,
            name=adjuster.name.strip(),
            defaults={
                "unit": adjuster.unit,
                "counted_from": adjuster.counted_from,
                "lowest": adjuster.lowest,
                "highest": adjuster.highest,
                "order": order,
            },
        )

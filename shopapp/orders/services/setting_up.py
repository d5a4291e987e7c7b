"""Work types, terms and bays: what the owner sets before orders are received."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.db import IntegrityError, transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from shopapp.calc.units import Measurement
from shopapp.orders.models import Bay, Terms, WorkType
from shopapp.shop.services import acts
from shopapp.shop.services.acts import Call, Doing, Refused
from shopapp.shop.services.counters import next_number

if TYPE_CHECKING:
    from shopapp.people.models import Person


def _save_once(row: Any, sentence: str, field: str) -> None:
    """Save a row whose code or name may be taken; a taken one is refused with `sentence`."""
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as broken:
        others = type(row)._default_manager.filter(**{field: getattr(row, field)}).exclude(pk=row.pk)
        if not others.exists():
            raise
        raise Refused(sentence, field=field) from broken


def add_work_type(
    *,
    code: str,
    name: str,
    price: Decimal,
    tax_category: str = "S",
    minutes: int = 60,
    procedure_name: str = "",
    kit_rule: str = "spec",
    warranty_days: int = 0,
    warranty_distance: Measurement | None = None,
    interval_months: int | None = None,
    second_person_every: int = 0,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> WorkType:
    """Add a kind of job with its price (without tax), time, procedure, warranty and service interval."""
    with acts.doing("add_work_type", call=call, by=by, at=at, within=within) as act:
        row = WorkType(code=code.strip())
        _keep(row, act, {
            "name": name.strip(), "price": price, "tax_category": tax_category, "minutes": minutes,
            "procedure_name": procedure_name, "kit_rule": kit_rule, "warranty_days": warranty_days,
            "warranty_distance": warranty_distance, "interval_months": interval_months,
            "second_person_every": second_person_every,
        })  # fmt: skip
        return row


def change_work_type(
    *,
    work_type: WorkType,
    revision: int,
    name: str,
    price: Decimal,
    tax_category: str = "S",
    minutes: int = 60,
    procedure_name: str = "",
    kit_rule: str = "spec",
    warranty_days: int = 0,
    warranty_distance: Measurement | None = None,
    interval_months: int | None = None,
    second_person_every: int = 0,
    retired: bool = False,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> WorkType:
    """Change a kind of job; orders already received keep their prices. A retired one is no longer offered."""
    with acts.doing("change_work_type", call=call, by=by, at=at, within=within) as act:
        acts.raise_revision(work_type, revision, what=work_type.name)
        wanted = {
            "name": name.strip(), "price": price, "tax_category": tax_category, "minutes": minutes,
            "procedure_name": procedure_name, "kit_rule": kit_rule, "warranty_days": warranty_days,
            "warranty_distance": warranty_distance, "interval_months": interval_months,
            "second_person_every": second_person_every,
            "retired_at": (work_type.retired_at or at) if retired else None,
        }  # fmt: skip
        for field, value in wanted.items():
            act.change(field, getattr(work_type, field), value)
        _keep(work_type, act, wanted)
        return work_type


def _keep(row: WorkType, act: Doing, wanted: dict[str, Any]) -> None:
    if not row.code or not wanted["name"]:
        raise Refused(_("A work type needs a code and a name."), field="name" if row.code else "code")
    if wanted["price"] < 0:
        raise Refused(_("A price is zero or more."), field="price")
    for field, value in wanted.items():
        setattr(row, field, value)
    _save_once(row, _("The code %s is taken. Choose another.") % row.code, "code")
    act.about("work type", row.pk)
    act.result = {"work_type": row.pk}


def issue_terms(
    *, text: str, since: date, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Terms:
    """Issue the next version of the shop's terms; orders keep the version they were accepted under."""
    with acts.doing("issue_terms", call=call, by=by, at=at, within=within) as act:
        if not text.strip():
            raise Refused(_("Write the terms: they are what the customer accepts."), field="text")
        version = next_number("terms", start=(Terms.objects.aggregate(last=Max("version"))["last"] or 0) + 1)
        terms = Terms.objects.create(version=version, text=text.strip(), since=since, act_id=act.id)
        act.about("terms", terms.pk)
        act.result = {"terms": terms.pk}
        return terms


def add_bay(
    *, name: str, order: int = 1, by: Person, at: datetime, call: Call, within: Doing | None = None
) -> Bay:
    """Add a bay; `order` is its place in lists."""
    with acts.doing("add_bay", call=call, by=by, at=at, within=within) as act:
        bay = Bay(name=name.strip(), order=order)
        _keep_bay(bay, act)
        return bay


def change_bay(
    *,
    bay: Bay,
    revision: int,
    name: str,
    order: int = 1,
    retired: bool = False,
    by: Person,
    at: datetime,
    call: Call,
    within: Doing | None = None,
) -> Bay:
    """Rename a bay, move it in lists, or retire it."""
    with acts.doing("change_bay", call=call, by=by, at=at, within=within) as act:
        acts.raise_revision(bay, revision, what=bay.name)
        act.change("name", bay.name, name.strip())
        act.change("order", bay.order, order)
        act.change("retired", bay.retired_at is not None, retired)
        bay.name, bay.order = name.strip(), order
        bay.retired_at = (bay.retired_at or at) if retired else None
        _keep_bay(bay, act)
        return bay


def _keep_bay(bay: Bay, act: Doing) -> None:
    if not bay.name:
        raise Refused(_("A bay needs a name, for example: bay 2."), field="name")
    _save_once(bay, _("There is a bay %s already.") % bay.name, "name")
    act.about("bay", bay.pk)
    act.result = {"bay": bay.pk}

"""The things of people, work and money: how each is listed, asked for and written."""

from __future__ import annotations

from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext_lazy as _

from shopapp.money import services as money
from shopapp.money.models import TaxRate
from shopapp.orders import services as orders
from shopapp.orders.models import Bay, Shelf, Terms, WorkType
from shopapp.people import queries as people
from shopapp.people.services import staff
from shopapp.web.owner import forms, shelf_form
from shopapp.web.owner.things import Asked, Thing, register

WORK_TYPE = (
    "name", "price", "tax_category", "minutes", "procedure_name", "kit_rule", "warranty_days", "warranty_distance",
    "interval_months", "second_person_every",
)  # fmt: skip


def picked(form: Any, *names: str) -> dict[str, Any]:
    return {name: form.cleaned_data[name] for name in names}


def _add_person(form: Any, asked: Asked) -> Any:
    names = ("login_name", "name", "initials", "email", "roles", "skills", "countersign_needed", "password")
    return staff.add_person(**picked(form, *names), **asked.std)


def _change_person(row: Any, form: Any, asked: Asked) -> Any:
    names = ("name", "initials", "email", "roles", "skills", "countersign_needed", "password", "is_active")
    return staff.change_person(person=row, revision=form.expected, **picked(form, *names), **asked.std)


def _person_cells(row: Any) -> list[str]:
    roles = ", ".join(str(forms.ROLE_WORDS.get(group.name, group.name)) for group in row.groups.all())
    return [row.name, row.initials, row.login_name, roles, ", ".join(row.skills)]


register(
    Thing(
        slug="people",
        title=_("People"),
        one=_("person"),
        captions=(_("Name"), _("Initials"), _("Log-in name"), _("Roles"), _("Skills")),
        rows=people.people,
        cells=_person_cells,
        form=forms.PersonForm,
        add=_add_person,
        change=_change_person,
        gone=lambda row: not row.is_active,
        subject="person",
    )
)


def _work_type_cells(row: WorkType) -> list[str]:
    return [
        row.name, row.code, number_format(row.price, 2), row.tax_category, str(row.minutes),
        row.procedure_name or "–", str(row.interval_months or "–"),
    ]  # fmt: skip


def _change_work_type(row: Any, form: Any, asked: Asked) -> Any:
    return orders.change_work_type(
        work_type=row,
        revision=form.expected,
        retired=form.cleaned_data["retired"],
        **picked(form, *WORK_TYPE),
        **asked.std,
    )


register(
    Thing(
        slug="work-types",
        title=_("Work types"),
        one=_("work type"),
        captions=(
            _("Name"),
            _("Short name"),
            _("Price"),
            _("Tax"),
            _("Minutes"),
            _("Procedure"),
            _("Next after months"),
        ),
        rows=lambda: WorkType.objects.order_by("retired_at", "name", "pk"),
        cells=_work_type_cells,
        form=forms.WorkTypeForm,
        add=lambda form, asked: orders.add_work_type(**picked(form, "code", *WORK_TYPE), **asked.std),
        change=_change_work_type,
        gone=lambda row: row.retired_at is not None,
        subject="work type",
    )
)

register(
    Thing(
        slug="tax-rates",
        title=_("Tax rates"),
        one=_("tax rate"),
        captions=(_("Category"), _("Name"), _("Percent"), _("From")),
        rows=lambda: TaxRate.objects.order_by("category", "-since"),
        cells=lambda row: [row.category, row.name, number_format(row.rate), row.since.isoformat()],
        form=forms.TaxRateForm,
        add=lambda form, asked: money.add_tax_rate(
            **picked(form, "category", "name", "rate", "since"), **asked.std
        ),
        note=_("A rate is not changed: a new one follows it from a day on, and issued invoices keep theirs."),
    )
)

register(
    Thing(
        slug="terms",
        title=_("Terms"),
        one=_("terms"),
        captions=(_("Issue"), _("From"), _("Begins")),
        rows=lambda: Terms.objects.order_by("-version"),
        cells=lambda row: [str(row.version), row.since.isoformat(), row.text[:80]],
        form=forms.TermsForm,
        add=lambda form, asked: orders.issue_terms(**picked(form, "text", "since"), **asked.std),
        note=_("Terms are not changed: a new issue follows, and an order keeps the one that was accepted."),
    )
)


def _change_bay(row: Any, form: Any, asked: Asked) -> Any:
    retired = bool(form.cleaned_data.get("retired"))
    return orders.change_bay(
        bay=row, revision=form.expected, retired=retired, **picked(form, "name", "order"), **asked.std
    )


def _change_shelf(row: Any, form: Any, asked: Asked) -> Any:
    data = form.cleaned_data
    return orders.change_shelf(
        shelf=row, revision=form.expected, rack=data["rack"], name=data["shelf"],
        retired=bool(data.get("retired")), **asked.std,
    )  # fmt: skip


register(
    Thing(
        slug="shelves",
        title=_("Shelves"),
        one=_("shelf"),
        captions=(_("Code"), _("Rack"), _("Shelf")),
        rows=lambda: Shelf.objects.order_by("code"),
        cells=lambda row: [row.code, row.rack, row.shelf],
        form=shelf_form.ShelfForm,
        add=lambda form, asked: orders.add_shelf(**picked(form, "code", "rack", "shelf"), **asked.std),
        change=_change_shelf,
        gone=lambda row: row.retired_at is not None,
        tool=("owner-shelf-labels", _("Print labels")),
        note=_("Where body, springs and tray of a damper lie: each shelf has a label to scan."),
        subject="shelf",
    )
)

register(
    Thing(
        slug="bays",
        title=_("Bays"),
        one=_("bay"),
        captions=(_("Name"), _("Place in the row")),
        rows=lambda: Bay.objects.order_by("order", "pk"),
        cells=lambda row: [row.name, str(row.order)],
        form=forms.BayForm,
        add=lambda form, asked: orders.add_bay(**picked(form, "name", "order"), **asked.std),
        change=_change_bay,
        gone=lambda row: row.retired_at is not None,
        subject="bay",
    )
)

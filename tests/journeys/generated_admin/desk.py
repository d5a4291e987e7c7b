"""The models that a new order writes, registered with the admin in the shape that asks for the fewest keys.

Shown is what the shop's own sheet asks for, the keys that join one row to another, and the sums and names that stand
in a row; rows that hang on another stand on its page as inlines. What nobody could type is worked out here too, for
nothing, as a row is saved: keys of acts, tags, numbers, moments, folded spellings, SI values, who is signed on; so are
a damper's maker, and how the terms were accepted where the sheet says it by itself.
"""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.db import models
from django.db.models import Max
from django.http import HttpRequest
from django.utils import timezone

from shopapp.customers.forms import read_meter
from shopapp.customers.models import Contact, Customer, MeterReading
from shopapp.customers.services.customers import normalised
from shopapp.dampers.models import Damper, Fitting, Ownership
from shopapp.dampers.services import tags
from shopapp.due.models import Signature
from shopapp.orders.models import Job, OrderLine, WorkConsent, WorkOrder
from shopapp.people.models import Person
from shopapp.shop.models import Act, Shop
from shopapp.shop.services.acts import Call
from shopapp.shop.services.search_terms import fold_number


class Open(admin.AdminSite):
    """An admin that lets the desk do everything."""

    def has_permission(self, request: HttpRequest) -> bool:
        return request.user.is_authenticated


SITE = Open(name="admin")


def work_out(row: models.Model, by: Person) -> None:
    """Put in what the program works out for itself, so that nobody has to type it."""
    at = timezone.now()
    names = {field.name for field in row._meta.get_fields()}
    if "act" in names:
        call = Call.fresh()
        row.act = Act.objects.create(key=call.key, verb="by_hand", by=by, at=at)  # type: ignore[attr-defined]
    for name in ("by", "taken_by", "received_by"):
        if name in names:
            setattr(row, name, by)
    for name in ("at", "made_at", "received_at", "accepted_at", "stored_at"):
        if name in names:
            setattr(row, name, at)
    work = WORKED_OUT.get(type(row))
    if work is not None:
        work(row)


def _damper(row: Damper) -> None:
    assert row.model is not None
    row.tag, row.maker, row.serial_folded = tags.new_tag(), row.model.maker, fold_number(row.serial)


def _contact(row: Contact) -> None:
    row.normalised = normalised(row.kind, row.value)


def _meter(row: MeterReading) -> None:
    row.distance = read_meter(row.distance_text, shop=Shop.objects.get())
    row.on, row.source = timezone.localdate(), "read when the order was received"


def _owner(row: Ownership) -> None:
    row.since = timezone.localdate()


def _order(row: WorkOrder) -> None:
    row.number = (WorkOrder.objects.aggregate(last=Max("number"))["last"] or 1000) + 1
    if row.terms is not None and not row.terms_accepted_how:
        row.terms_accepted_how = "signed at the counter"


def _job(row: Job) -> None:
    row.number = row.order.jobs.count() + 1


def _line(row: OrderLine) -> None:
    row.job = row.order.jobs.get(number=row.order.lines.count() + 1)


def _consent(row: WorkConsent) -> None:
    row.how = row.order.terms_accepted_how or "at the counter"
    row.about_id = str(row.order.terms.version) if row.about == "terms" and row.order.terms else ""


def _signature(row: Signature) -> None:
    row.strokes = []


WORKED_OUT: dict[type[models.Model], Any] = {
    Damper: _damper, Contact: _contact, MeterReading: _meter, Ownership: _owner, WorkOrder: _order, Job: _job,
    OrderLine: _line, WorkConsent: _consent, Signature: _signature,
}  # fmt: skip


class Easy:
    """What may be empty in the row may be left empty, and no list carries links that Tab would stop at."""

    def formfield_for_dbfield(self, db_field: models.Field, request: HttpRequest, **kwargs: Any) -> Any:
        field = super().formfield_for_dbfield(db_field, request, **kwargs)  # type: ignore[misc]
        if field is not None and db_field.null:
            field.required = False
        for link in ("can_add_related", "can_change_related", "can_view_related", "can_delete_related"):
            if field is not None and hasattr(field.widget, link):
                setattr(field.widget, link, False)
        return field

    def has_module_permission(self, request: HttpRequest) -> bool:
        return True

    def _may(self, request: HttpRequest, obj: models.Model | None = None) -> bool:
        return True

    has_add_permission = has_change_permission = has_view_permission = has_delete_permission = _may


class Page(Easy, admin.ModelAdmin):
    """One model's page; its rows and those of its inlines are completed as they are saved."""

    def save_model(self, request: HttpRequest, obj: models.Model, form: Any, change: bool) -> None:
        work_out(obj, request.user)  # type: ignore[arg-type]
        obj.save()

    def save_formset(self, request: HttpRequest, form: Any, formset: Any, change: bool) -> None:
        for row in formset.save(commit=False):
            work_out(row, request.user)  # type: ignore[arg-type]
            row.save()


class Rows(Easy, admin.TabularInline):
    """Just as many rows as the address asks for: none to spare, and so no links to add or remove one."""

    extra, can_delete = 0, False

    def get_min_num(self, request: HttpRequest, obj: models.Model | None = None, **kwargs: Any) -> int:
        return int(request.GET.get(self.model._meta.model_name, 0))

    get_max_num = get_min_num


class Contacts(Rows):
    model, fields = Contact, ("kind", "value")


class Owners(Rows):
    model, fields = Ownership, ("customer",)


class Fittings(Rows):
    model, fields = Fitting, ("vehicle", "place", "number")


class Jobs(Rows):
    model = Job
    fields = ("damper", "place", "work_type", "condition", "wish", "shelf_body")


class Consents(Rows):
    model, fields = WorkConsent, ("about", "yes", "who", "amount")


class Signatures(Rows):
    model, fields = Signature, ("what", "name")


class Lines(Rows):
    model, fields = OrderLine, ("what", "price")


@admin.register(Customer, site=SITE)
class Customers(Page):
    fields, inlines = ("name", "kind"), [Contacts]


@admin.register(Damper, site=SITE)
class Dampers(Page):
    fields, inlines = ("model", "serial"), [Owners, Fittings]


@admin.register(MeterReading, site=SITE)
class Readings(Page):
    fields = ("vehicle", "distance_text", "kind")


@admin.register(WorkOrder, site=SITE)
class Orders(Page):
    inlines = [Consents, Signatures, Jobs, Lines]
    fieldsets = [
        (None, {"fields": [
            "customer", "vehicle", "complaint", "expected_net", "expected_gross", "limit_gross", "promised", "terms",
            "terms_accepted_how",
        ]}),
        ("Way", {"classes": ["collapse"], "fields": ["comes_by", "comes_carrier", "leaves_by", "leaves_carrier"]}),
    ]  # fmt: skip

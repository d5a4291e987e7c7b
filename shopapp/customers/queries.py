"""What pages read of customers, their vehicles and meters."""

from __future__ import annotations

from django.db.models import Count, Prefetch, Q, QuerySet

from shopapp.customers.models import Contact, ContactConsent, Customer, MeterReading, Vehicle
from shopapp.shop.finding import found
from shopapp.shop.models import SearchTerm
from shopapp.shop.services.search_terms import fold


def customers(text: str = "") -> QuerySet[Customer]:
    """List customers by name with their contacts; `text` narrows to those found by name, phone or e-mail."""
    rows = Customer.objects.filter(merged_into__isnull=True, erased_at__isnull=True)
    if text.strip():
        rows = rows.filter(found(text, target_kind="customer"))
    return (
        rows.annotate(vehicle_count=Count("vehicles", distinct=True))
        .prefetch_related(good_contacts())
        .order_by("name", "pk")
    )


def good_contacts() -> Prefetch[str, QuerySet[Contact], str]:
    """Read the contacts that still count into `good`, in one query for all rows."""
    return Prefetch(
        "contacts", queryset=Contact.objects.filter(stopped_at__isnull=True).order_by("pk"), to_attr="good"
    )


def customer_with_contacts(pk: int) -> Customer | None:
    """Read one customer with the contacts that still count."""
    return Customer.objects.filter(pk=pk).prefetch_related(good_contacts()).first()


def whole(customer: Customer) -> QuerySet[Customer]:
    """List all entries of one customer: the one that is kept and its doubles."""
    kept = customer.merged_into_id or customer.pk
    return Customer.objects.filter(Q(pk=kept) | Q(merged_into=kept))


def same(one: Customer, other: Customer) -> bool:
    """Say whether two entries are one customer."""
    return (one.merged_into_id or one.pk) == (other.merged_into_id or other.pk)


def doubles_of(customer: Customer) -> QuerySet[Customer]:
    """List who was merged into a customer, with their contacts."""
    return customer.merged.prefetch_related(good_contacts()).order_by("name", "pk")


def likely_doubles(customer: Customer) -> QuerySet[Customer]:
    """List who may be the same: somebody with one of their phones or e-mails, or of exactly their name."""
    shared = Contact.objects.filter(customer=customer, stopped_at__isnull=True).exclude(normalised="")
    same_contact = Q(contacts__normalised__in=shared.values("normalised"), contacts__stopped_at__isnull=True)
    named = SearchTerm.objects.filter(target_kind="customer", kind="name", key=fold(customer.name)[:80])
    rows = customers().filter(same_contact | Q(pk__in=named.values("target_id")))
    return rows.exclude(pk=customer.pk).distinct()


def vehicles_of(customer: Customer) -> QuerySet[Vehicle]:
    """List a customer's vehicles with what their meters showed, newest first."""
    readings = MeterReading.objects.filter(replaced_by__isnull=True).order_by("-on", "-stored_at", "-pk")
    rows = Vehicle.objects.filter(customer__in=whole(customer))
    return rows.prefetch_related(Prefetch("readings", queryset=readings, to_attr="shown")).order_by(
        "description", "pk"
    )


def consents_of(customer: Customer) -> list[ContactConsent]:
    """Give the newest yes or no of each channel."""
    newest: dict[str, ContactConsent] = {}
    said = ContactConsent.objects.filter(customer__in=whole(customer))
    for consent in said.select_related("by").order_by("at", "pk"):
        newest[consent.channel] = consent
    return [newest[channel] for channel in sorted(newest)]


def _readings_like(row: MeterReading) -> QuerySet[MeterReading]:
    """List readings of the same meter that still count, without the one that `row` corrects."""
    same = Q(vehicle=row.vehicle_id) if row.vehicle_id else Q(damper=row.damper_id)
    counted = Q(distance_si__isnull=False) if row.distance is not None else Q(running_si__isnull=False)
    rows = MeterReading.objects.filter(same & counted, replaced_by__isnull=True)
    return rows.exclude(pk=row.replaces_id) if row.replaces_id else rows


def reading_before(row: MeterReading) -> MeterReading | None:
    """Give the newest reading of the same meter on or before that day."""
    return _readings_like(row).filter(on__lte=row.on).order_by("-on", "-stored_at", "-pk").first()


def reading_after(row: MeterReading) -> MeterReading | None:
    """Give the next later reading of the same meter, where it was not replaced in between."""
    later = _readings_like(row).filter(on__gt=row.on).order_by("on", "stored_at", "pk").first()
    return later if later is not None and later.kind == MeterReading.Kind.READING else None

"""Customers, how they may be reached, their vehicles and the meters on them."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shopapp.shop.fields import AppendOnly, Measured


class Customer(models.Model):
    """Who owns the dampers and pays: a person or a firm."""

    class Kind(models.TextChoices):
        PERSON = "person", _("person")
        FIRM = "firm", _("firm")

    kind = models.CharField(max_length=6, choices=Kind, default=Kind.PERSON)
    name = models.CharField(max_length=120)
    bill_to = models.TextField(blank=True, default="", max_length=600)
    language = models.CharField(max_length=10, default="en")
    tax_id = models.CharField(max_length=40, blank=True, default="")
    exemption = models.CharField(max_length=120, blank=True, default="")
    exemption_certificate = models.CharField(max_length=60, blank=True, default="")
    exemption_until = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True, default="", max_length=2000)
    merged_into = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="merged")
    erased_at = models.DateTimeField(null=True)
    made_at = models.DateTimeField()
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        indexes = [models.Index(fields=["name", "id"], name="customer_name")]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=["person", "firm"]), name="customer_kind_known"),
            models.CheckConstraint(condition=~Q(name="") | Q(erased_at__isnull=False), name="customer_named"),
            models.CheckConstraint(
                condition=Q(merged_into__isnull=True) | ~Q(merged_into=F("id")),
                name="customer_not_own_double",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Contact(models.Model):
    """One way to reach a customer, as typed and normalised."""

    class Kind(models.TextChoices):
        PHONE = "phone", _("phone")
        EMAIL = "email", _("e-mail")
        POST = "post", _("post")
        PERSON = "person", _("contact person")

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="contacts")
    kind = models.CharField(max_length=6, choices=Kind)
    value = models.CharField(max_length=300)
    normalised = models.CharField(max_length=300, blank=True, default="")
    label = models.CharField(max_length=80, blank=True, default="")
    stopped_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["phone", "email", "post", "person"]), name="contact_kind_known"
            ),
            models.CheckConstraint(condition=~Q(value=""), name="contact_not_empty"),
        ]

    def __str__(self) -> str:
        return self.value


class ContactConsent(AppendOnly):
    """A customer's yes or no to being written to, over one channel: who heard it, when and how."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="contact_consents")
    channel = models.CharField(max_length=10)
    yes = models.BooleanField()
    at = models.DateTimeField()
    how = models.CharField(max_length=120)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="consents_taken"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(channel__in=["email", "sms", "phone", "post"]), name="consent_channel_known"
            )
        ]


class Vehicle(models.Model):
    """What the dampers are off. It counts distance or running hours, both or neither."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="vehicles")
    description = models.CharField(max_length=120)
    plate = models.CharField(max_length=20, blank=True, default="")
    plate_folded = models.CharField(max_length=20, blank=True, default="")
    vin = models.CharField(max_length=40, blank=True, default="")
    vin_valid = models.BooleanField(default=False)
    counts_distance = models.BooleanField(default=True)
    counts_hours = models.BooleanField(default=False)
    use = models.CharField(max_length=120, blank=True, default="")
    hard_use = models.BooleanField(default=False)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["vin"], condition=Q(vin_valid=True), name="vehicle_valid_vin_once"
            ),
            models.CheckConstraint(condition=~Q(description=""), name="vehicle_described"),
        ]

    def __str__(self) -> str:
        return self.description


class MeterReading(AppendOnly):
    """What a meter showed: of a vehicle, or of a damper that carries its own hours."""

    class Kind(models.TextChoices):
        READING = "reading", _("reading")
        REPLACED = "replaced", _("meter replaced")
        ROLLED_OVER = "rolled over", _("rolled over")

    vehicle = models.ForeignKey(Vehicle, null=True, on_delete=models.PROTECT, related_name="readings")
    damper = models.ForeignKey(
        "shopapp.Damper", null=True, on_delete=models.PROTECT, related_name="meter_readings"
    )
    kind = models.CharField(max_length=11, choices=Kind, default=Kind.READING)
    distance = Measured("distance")
    running = Measured("running_time")
    on = models.DateField()
    source = models.CharField(max_length=80)
    how_sure = models.CharField(max_length=10, default="read")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="readings_taken"
    )
    stored_at = models.DateTimeField()
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="meter_readings")
    replaces = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="replaced_by")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(vehicle__isnull=False, damper__isnull=True)
                | Q(vehicle__isnull=True, damper__isnull=False),
                name="meter_of_one_thing",
            ),
            models.CheckConstraint(
                condition=Q(distance_si__isnull=False, running_si__isnull=True)
                | Q(distance_si__isnull=True, running_si__isnull=False),
                name="meter_counts_one_thing",
            ),
            models.CheckConstraint(
                condition=(Q(distance_si__isnull=True) | Q(distance_si__gte=0))
                & (Q(running_si__isnull=True) | Q(running_si__gte=0)),
                name="meter_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["reading", "replaced", "rolled over"]), name="meter_kind_known"
            ),
        ]

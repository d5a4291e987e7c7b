"""Damper models, dampers by serial and tag, who owned them and where they were fitted."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import Exact
from django.utils.translation import gettext_lazy as _

from shopapp.customers.models import Customer, Vehicle
from shopapp.shop.choices import words_of


class Construction(models.TextChoices):
    """Where the gas is. A shop adds constructions of its own as free text on the model."""

    RESERVOIR = "reservoir", _("reservoir with IFP")
    IFP_BODY = "ifp body", _("IFP in the body")
    BLADDER = "bladder", _("reservoir with bladder")
    EMULSION = "emulsion", _("emulsion")
    THROUGH_ROD = "through-rod", _("through-rod")
    TWIN_TUBE = "twin-tube", _("twin-tube")
    OTHER = "other", _("other")


class DamperModel(models.Model):
    """A maker's model of damper; retired rather than deleted."""

    maker = models.CharField(max_length=60)
    name = models.CharField(max_length=60)
    construction = models.CharField(max_length=12, choices=Construction, default=Construction.RESERVOIR)
    note = models.TextField(blank=True, default="", max_length=2000)
    retired_at = models.DateTimeField(null=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["maker", "name"], name="damper_model_once"),
            models.CheckConstraint(
                condition=Q(construction__in=Construction.values), name="damper_model_construction_known"
            ),
            models.CheckConstraint(condition=~Q(maker="") & ~Q(name=""), name="damper_model_named"),
        ]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}"


class Adjuster(models.Model):
    """One adjuster of a model: its own unit (clicks, turns), the stop it is counted from, its range."""

    model = models.ForeignKey(DamperModel, on_delete=models.PROTECT, related_name="adjusters")
    name = models.CharField(max_length=40)
    unit = models.CharField(
        max_length=10, choices=[("clicks", _("clicks")), ("turns", _("turns"))], default="clicks"
    )
    counted_from = models.CharField(
        max_length=20, choices=[("closed", _("closed")), ("open", _("open"))], default="closed"
    )
    lowest = models.FloatField(default=0)
    highest = models.FloatField(default=20)
    order = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["model_id", "order", "id"]
        constraints = [
            models.UniqueConstraint(fields=["model", "name"], name="adjuster_once_per_model"),
            models.CheckConstraint(condition=Q(unit__in=["clicks", "turns"]), name="adjuster_unit_known"),
            models.CheckConstraint(
                condition=Q(counted_from__in=["closed", "open"]), name="adjuster_datum_known"
            ),
            models.CheckConstraint(condition=Q(highest__gt=models.F("lowest")), name="adjuster_has_range"),
        ]

    def __str__(self) -> str:
        return self.name


def called(maker: str, serial: str, tag: str) -> str:
    """Name a damper by its maker and serial, else by its tag."""
    return f"{maker} {serial}".strip() or tag


class Damper(models.Model):
    """One damper, for ever known by its tag: seven digits and a check digit."""

    tag = models.CharField(max_length=8, unique=True)
    maker = models.CharField(max_length=60, blank=True, default="")
    serial = models.CharField(max_length=60, blank=True, default="")
    serial_folded = models.CharField(max_length=60, blank=True, default="")
    model = models.ForeignKey(DamperModel, null=True, on_delete=models.PROTECT, related_name="dampers")
    note = models.TextField(blank=True, default="", max_length=2000)
    retired_at = models.DateTimeField(null=True)
    made_at = models.DateTimeField()
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["maker", "serial_folded"],
                condition=~Q(serial_folded=""),
                name="damper_serial_once_per_maker",
            ),
            models.CheckConstraint(condition=Exact(Length("tag"), 8), name="damper_tag_eight_digits"),
        ]

    def __str__(self) -> str:
        return called(self.maker, self.serial, self.tag)


class Ownership(models.Model):
    """Who owned a damper from when until when."""

    damper = models.ForeignKey(Damper, on_delete=models.PROTECT, related_name="ownerships")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="ownerships")
    since = models.DateField(null=True)
    until = models.DateField(null=True)
    current = models.BooleanField(default=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["damper"], condition=Q(current=True), name="damper_one_owner_now"
            ),
            models.CheckConstraint(
                condition=Q(current=True) | Q(until__isnull=False), name="ownership_past_has_end"
            ),
        ]


PLACES = [
    ("front left", _("front left")),
    ("front right", _("front right")),
    ("front centre", _("front centre")),
    ("rear left", _("rear left")),
    ("rear right", _("rear right")),
    ("rear centre", _("rear centre")),
    ("fork leg left", _("fork leg left")),
    ("fork leg right", _("fork leg right")),
    ("steering", _("steering")),
    ("seat", _("seat")),
    ("other", _("other")),
]


class Fitting(models.Model):
    """Where a damper sits on a vehicle, now or before; dates may be unknown or only about right."""

    damper = models.ForeignKey(Damper, on_delete=models.PROTECT, related_name="fittings")
    vehicle = models.ForeignKey(Vehicle, on_delete=models.PROTECT, related_name="fittings")
    place = models.CharField(max_length=14, choices=PLACES)
    place_words = models.CharField(max_length=60, blank=True, default="")
    number = models.PositiveSmallIntegerField(default=1)
    since = models.DateField(null=True)
    until = models.DateField(null=True)
    about = models.BooleanField(default=False)
    current = models.BooleanField(default=True)

    get_place_display = words_of("place", PLACES)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["damper"], condition=Q(current=True), name="damper_one_fitting_now"
            ),
            models.UniqueConstraint(
                fields=["vehicle", "place", "place_words", "number"],
                condition=Q(current=True),
                name="fitting_one_damper_a_place",
            ),
            models.CheckConstraint(
                condition=Q(place__in=[value for value, _label in PLACES]), name="fitting_place_known"
            ),
            models.CheckConstraint(condition=Q(number__gte=1), name="fitting_number_from_one"),
        ]

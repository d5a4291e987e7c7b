"""What a shop keeps for its orders: bays, shelves, work types, the versions of its terms."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shopapp.shop.fields import AppendOnly, Measured


class Bay(models.Model):
    """A bay of the shop."""

    name = models.CharField(max_length=40, unique=True)
    order = models.PositiveSmallIntegerField(default=1)
    retired_at = models.DateTimeField(null=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["order", "id"]

    def __str__(self) -> str:
        return self.name


class Shelf(models.Model):
    """A place in the shop with a label to scan: its code never changes, for jobs keep it in words.

    A code has a letter, so that it is never taken for a damper's tag.
    """

    code = models.CharField(max_length=12, unique=True)
    rack = models.CharField(max_length=20)
    shelf = models.CharField(max_length=20)
    retired_at = models.DateTimeField(null=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        verbose_name_plural = "shelves"
        constraints = [
            models.UniqueConstraint(fields=["rack", "shelf"], name="shelf_once"),
            models.CheckConstraint(condition=~Q(code="") & ~Q(rack="") & ~Q(shelf=""), name="shelf_named"),
        ]

    def __str__(self) -> str:
        return self.code


class WorkType(models.Model):
    """A kind of job with its price, time, procedure and warranty.

    `second_person_every`: in how many jobs one asks for a second person at the final check; 0 never, 1 always.
    """

    code = models.CharField(max_length=30, unique=True)
    name = models.CharField(max_length=80)
    price = models.DecimalField(max_digits=10, decimal_places=2)
    tax_category = models.CharField(max_length=4, default="S")
    minutes = models.PositiveIntegerField(default=60)
    procedure_name = models.CharField(max_length=80, blank=True, default="")
    kit_rule = models.CharField(
        max_length=10, choices=[("spec", _("the spec's kit")), ("none", _("no kit"))], default="spec"
    )
    warranty_days = models.PositiveIntegerField(default=0)
    warranty_distance = Measured("distance")
    interval_months = models.PositiveSmallIntegerField(null=True, blank=True)
    second_person_every = models.PositiveSmallIntegerField(default=0)
    retired_at = models.DateTimeField(null=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(price__gte=0), name="work_type_price_not_negative"),
            models.CheckConstraint(condition=~Q(code="") & ~Q(name=""), name="work_type_named"),
        ]

    def __str__(self) -> str:
        return self.name


class Terms(AppendOnly):
    """One version of the shop's terms; an order keeps the version that was accepted."""

    version = models.PositiveIntegerField(unique=True)
    text = models.TextField(max_length=20000)
    since = models.DateField()
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="terms")

    def __str__(self) -> str:
        return f"terms, issue {self.version}"

"""Items, kits, lots and the ledger of stock moves. Quantities are whole numbers of an item's smallest unit."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shopapp.dampers.models import DamperModel
from shopapp.shop.fields import AppendOnly


class Item(models.Model):
    """One thing on the shelf, counted in its smallest unit: a piece, a tenth of a millilitre, a millimetre.

    `price` is without tax, of one piece, one litre or one metre.
    """

    class Unit(models.TextChoices):
        PIECE = "piece", _("piece")
        TENTH_ML = "0.1 mL", _("0.1 mL")
        MM = "mm", _("mm")

    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    unit = models.CharField(max_length=6, choices=Unit, default=Unit.PIECE)
    bin = models.CharField(max_length=40, blank=True, default="")
    minimum = models.PositiveBigIntegerField(default=0)
    elastomer = models.CharField(max_length=20, blank=True, default="")
    size = models.CharField(max_length=60, blank=True, default="")
    price = models.DecimalField(max_digits=12, decimal_places=4, default=0)
    tax_category = models.CharField(max_length=4, default="S")
    retired_at = models.DateTimeField(null=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(unit__in=["piece", "0.1 mL", "mm"]), name="item_unit_known"),
            models.CheckConstraint(condition=~Q(code="") & ~Q(name=""), name="item_named"),
            models.CheckConstraint(condition=Q(price__gte=0), name="item_price_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class Kit(models.Model):
    """What goes into a damper together: a seal kit with its positions."""

    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    price = models.DecimalField(max_digits=12, decimal_places=2, default=0)
    tax_category = models.CharField(max_length=4, default="S")
    retired_at = models.DateTimeField(null=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(code="") & ~Q(name=""), name="kit_named"),
            models.CheckConstraint(condition=Q(price__gte=0), name="kit_price_not_negative"),
        ]

    def __str__(self) -> str:
        return self.code


class KitLine(models.Model):
    """One position of a kit: the item, how many, and what may stand in for it."""

    kit = models.ForeignKey(Kit, on_delete=models.PROTECT, related_name="lines")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="kit_lines")
    quantity = models.PositiveBigIntegerField(default=1)
    position = models.CharField(max_length=60)
    alternatives = models.ManyToManyField(Item, blank=True, related_name="stands_in_for")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["kit", "position"], name="kit_position_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="kit_line_some"),
        ]


class KitFit(models.Model):
    """Which models a kit fits."""

    kit = models.ForeignKey(Kit, on_delete=models.PROTECT, related_name="fits")
    model = models.ForeignKey(DamperModel, on_delete=models.PROTECT, related_name="kits")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["kit", "model"], name="kit_fits_once")]


class Lot(models.Model):
    """A batch of an item as received, with its dates; a blocked lot is not issued."""

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="lots")
    batch = models.CharField(max_length=60)
    received = models.DateField()
    cured = models.DateField(null=True)
    expires = models.DateField(null=True)
    blocked_at = models.DateTimeField(null=True)
    blocked_why = models.CharField(max_length=200, blank=True, default="")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["item", "batch"], name="lot_once_per_item")]

    def __str__(self) -> str:
        return self.batch


class LotBlock(AppendOnly):
    """That a lot was blocked, or is free again: when, by whom and why. The lot's own row says how it stands now."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="blocks")
    blocked = models.BooleanField()
    words = models.CharField(max_length=200)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="lot_blocks"
    )
    at = models.DateTimeField()
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="lot_blocks")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["act", "lot"], name="lot_block_once_per_act"),
            models.CheckConstraint(condition=~Q(words=""), name="lot_block_says_why"),
        ]


class StockLevel(models.Model):
    """What is on hand of an item: a projection of the moves, written with them."""

    item = models.OneToOneField(Item, on_delete=models.PROTECT, related_name="level")
    on_hand = models.BigIntegerField(default=0)
    blocked = models.BigIntegerField(default=0)
    reserved = models.BigIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(on_hand__gte=0), name="stock_on_hand_not_negative"),
            models.CheckConstraint(condition=Q(blocked__gte=0), name="stock_blocked_not_negative"),
            models.CheckConstraint(condition=Q(reserved__gte=0), name="stock_reserved_not_negative"),
            models.CheckConstraint(
                condition=Q(on_hand__gte=F("reserved") + F("blocked")), name="stock_promises_covered"
            ),
        ]


class LotLevel(models.Model):
    """What is on hand of a lot: a projection of the moves, written with them."""

    lot = models.OneToOneField(Lot, on_delete=models.PROTECT, related_name="level")
    on_hand = models.BigIntegerField(default=0)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(on_hand__gte=0), name="lot_on_hand_not_negative")]


class StockMove(AppendOnly):
    """One movement of stock: positive in, negative out."""

    class Kind(models.TextChoices):
        RECEIVE = "receive", _("received")
        ISSUE = "issue", _("issued to a job")
        RETURN = "return", _("back from a job")
        COUNT = "count", _("counted")
        SCRAP = "scrap", _("thrown away")

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="moves")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="moves")
    quantity = models.BigIntegerField()
    kind = models.CharField(max_length=8, choices=Kind)
    job = models.ForeignKey("shopapp.Job", null=True, on_delete=models.PROTECT, related_name="stock_moves")
    position = models.CharField(max_length=60, blank=True, default="")
    reason = models.CharField(max_length=200, blank=True, default="")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="stock_moves"
    )
    at = models.DateTimeField()
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="stock_moves")
    line = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["act", "line"], name="move_line_once_per_act"),
            models.CheckConstraint(condition=~Q(quantity=0), name="move_moves_something"),
            models.CheckConstraint(
                condition=Q(kind__in=["receive", "issue", "return", "count", "scrap"]), name="move_kind_known"
            ),
            models.CheckConstraint(
                condition=(~Q(kind__in=["issue", "scrap"]) | Q(quantity__lt=0))
                & (~Q(kind__in=["receive", "return"]) | Q(quantity__gt=0)),
                name="move_sign_fits_kind",
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["issue", "return"]) | Q(job__isnull=False), name="move_to_job_names_it"
            ),
        ]

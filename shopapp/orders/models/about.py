"""What is written about an order and its jobs: where parts lie, stays, lines, the customer's yes, remarks."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shopapp.orders.models.kept import Shelf
from shopapp.orders.models.order import Job, WorkOrder
from shopapp.shop.fields import AppendOnly


class Placing(AppendOnly):
    """A part of a damper was laid somewhere: on a shelf, or at a place in words. The last one holds."""

    class Part(models.TextChoices):
        BODY = "body", _("body")
        SPRINGS = "springs", _("springs")
        TRAY = "tray", _("tray")

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="placings")
    part = models.CharField(max_length=7, choices=Part)
    was = models.CharField(max_length=40, blank=True, default="")
    place = models.CharField(max_length=40)
    shelf = models.ForeignKey(Shelf, null=True, on_delete=models.PROTECT, related_name="placings")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="placings")
    at = models.DateTimeField()
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="placings")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["act", "job", "part"], name="placing_once"),
            models.CheckConstraint(
                condition=Q(part__in=["body", "springs", "tray"]), name="placing_part_known"
            ),
            models.CheckConstraint(condition=~Q(place=""), name="placing_says_where"),
        ]


class Stay(models.Model):
    """A closed job's damper that stays in the shop, and is not waited for at the counter: why, and who said so.

    `ended_at`: it was fetched, scrapped, taken into a later order, or back into the rack of what is to be fetched.
    """

    class Why(models.TextChoices):
        STORED = "stored", _("stored for its customer")
        SPARES = "spares", _("left as spares")
        SCRAP = "scrap", _("to be scrapped by the shop")
        PART = "part", _("waits for a part and a later order")

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="stays")
    why = models.CharField(max_length=8, choices=Why)
    until = models.DateField(null=True)
    who = models.CharField(max_length=120, blank=True)
    how = models.CharField(max_length=80, blank=True)
    words = models.CharField(max_length=300, blank=True, default="")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="stays")
    at = models.DateTimeField()
    act = models.OneToOneField("shopapp.Act", on_delete=models.PROTECT, related_name="stay")
    ended_at = models.DateTimeField(null=True)
    ended_act = models.ForeignKey(
        "shopapp.Act", null=True, on_delete=models.PROTECT, related_name="stays_ended"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["job"], condition=Q(ended_at__isnull=True), name="stay_one_at_a_time"
            ),
            models.CheckConstraint(
                condition=Q(why__in=["stored", "spares", "scrap", "part"]), name="stay_why_known"
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_act__isnull=True)
                | Q(ended_at__isnull=False, ended_act__isnull=False),
                name="stay_ended_by_an_act",
            ),
        ]


class OrderLine(models.Model):
    """What an order will bill; it may be changed until it is invoiced."""

    class From(models.TextChoices):
        WORK_TYPE = "work type", _("work type")
        MOVE = "move", _("stock move")
        FINDING = "finding", _("finding")
        HAND = "hand", _("by hand")

    order = models.ForeignKey(WorkOrder, on_delete=models.PROTECT, related_name="lines")
    job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT, related_name="lines")
    what = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=12, decimal_places=4, default=1)
    unit = models.CharField(max_length=12, default="piece")
    price = models.DecimalField(max_digits=12, decimal_places=4)
    tax_category = models.CharField(max_length=4, default="S")
    comes_from = models.CharField(max_length=9, choices=From, default=From.WORK_TYPE)
    move = models.ForeignKey(
        "shopapp.StockMove", null=True, on_delete=models.PROTECT, related_name="order_lines"
    )
    entry_id = models.UUIDField(null=True)
    invoiced = models.BooleanField(default=False)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(what=""), name="order_line_says_what"),
            models.CheckConstraint(
                condition=Q(comes_from__in=["work type", "move", "finding", "hand"]),
                name="order_line_from_known",
            ),
            models.CheckConstraint(condition=~Q(quantity=0), name="order_line_some"),
        ]


class WorkConsent(AppendOnly):
    """A customer's yes or no to an estimate, a finding or a new limit: who, how, when, to what amount."""

    order = models.ForeignKey(WorkOrder, on_delete=models.PROTECT, related_name="consents")
    about = models.CharField(max_length=10, default="limit")
    about_id = models.CharField(max_length=40, blank=True, default="")
    yes = models.BooleanField()
    who = models.CharField(max_length=120)
    how = models.CharField(max_length=80)
    at = models.DateTimeField()
    amount = models.DecimalField(max_digits=10, decimal_places=2, null=True)
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="work_consents"
    )
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="work_consents")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(about__in=["estimate", "finding", "limit", "terms"]),
                name="work_consent_about_known",
            )
        ]


class Remark(models.Model):
    """What was said with an act about an order: free words may name people, and can be erased; an act stays."""

    order = models.ForeignKey(WorkOrder, on_delete=models.PROTECT, related_name="remarks")
    words = models.CharField(max_length=300)
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="remarks")

    class Meta:
        constraints = [models.CheckConstraint(condition=~Q(words=""), name="remark_says_something")]

"""The shop's own row, what was done once (Act), the outbox, counters, search terms."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shopapp.shop.fields import AppendOnly, Measured


class Shop(models.Model):
    """The one row of this installation: one legal entity, one zone, one currency."""

    class TaxBasis(models.TextChoices):
        RATE = "rate", _("tax on the sum of each rate")
        LINE = "line", _("tax on each line")

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    name = models.CharField(max_length=120)
    address = models.TextField(blank=True, default="", max_length=600)
    phone = models.CharField(max_length=40, blank=True, default="")
    email = models.EmailField(blank=True, default="")
    tax_number = models.CharField(max_length=40, blank=True, default="")
    zone = models.CharField(max_length=64, default="UTC")
    currency = models.CharField(max_length=3, default="USD")
    altitude = Measured("length")
    default_units = models.JSONField(default=dict, blank=True)
    decimal_comma = models.BooleanField(default=False)
    public_address = models.CharField(max_length=200, blank=True, default="")
    closures = models.JSONField(default=list, blank=True)
    pair_tolerances = models.JSONField(default=dict, blank=True)
    tax_basis = models.CharField(max_length=4, choices=TaxBasis, default=TaxBasis.RATE)
    payment_days = models.PositiveSmallIntegerField(default=14)
    report_footer = models.TextField(blank=True, default="", max_length=2000)
    keep_stacks_back = models.BooleanField(default=False)
    invoice_footer = models.TextField(blank=True, default="", max_length=2000)
    is_demo = models.BooleanField(default=False)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(id=1), name="shop_is_one_row"),
            models.CheckConstraint(condition=Q(tax_basis__in=["rate", "line"]), name="shop_tax_basis_known"),
        ]

    def __str__(self) -> str:
        return self.name


class Act(AppendOnly):
    """One thing done once: idempotency record, audit line and history; written last in its transaction."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    key = models.CharField(max_length=120, unique=True)
    verb = models.CharField(max_length=60)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="acts")
    device = models.ForeignKey("shopapp.Device", null=True, on_delete=models.PROTECT, related_name="acts")
    at = models.DateTimeField()
    subject_kind = models.CharField(max_length=40, blank=True, default="")
    subject_id = models.CharField(max_length=40, blank=True, default="")
    request_hash = models.CharField(max_length=64, blank=True, default="")
    result = models.JSONField(default=dict)
    changed = models.JSONField(default=list)
    takes_back = models.OneToOneField(
        "self", null=True, on_delete=models.PROTECT, related_name="taken_back_by"
    )

    class Meta:
        indexes = [
            models.Index(fields=["subject_kind", "subject_id", "at"], name="act_subject"),
            models.Index(fields=["-at"], name="act_at"),
            models.Index(fields=["verb", "-at"], name="act_verb"),
        ]
        constraints = [models.CheckConstraint(condition=~Q(key=""), name="act_has_key")]

    def __str__(self) -> str:
        return f"{self.verb} {self.subject_kind} {self.subject_id}"


class Outbox(models.Model):
    """What is to be done after a commit (a paper, a mail), and how far it has come. The sweeper finds what is due."""

    class State(models.TextChoices):
        PLANNED = "planned", _("planned")
        CLAIMED = "claimed", _("claimed")
        SENT = "sent", _("done")
        FAILED = "failed", _("failed")
        UNKNOWN = "unknown", _("unknown")

    kind = models.CharField(max_length=30)
    ids = models.JSONField(default=dict)
    key = models.CharField(max_length=120, unique=True)
    due = models.DateTimeField()
    state = models.CharField(max_length=8, choices=State, default=State.PLANNED)
    lease = models.DateTimeField(null=True)
    lease_token = models.CharField(max_length=32, blank=True, default="")
    attempt = models.PositiveSmallIntegerField(default=0)
    message_id = models.CharField(max_length=200, blank=True, default="")
    problem = models.CharField(max_length=300, blank=True, default="")
    made_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True)

    class Meta:
        verbose_name_plural = "outbox"
        indexes = [models.Index(fields=["state", "due"], name="outbox_state_due")]
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["planned", "claimed", "sent", "failed", "unknown"]),
                name="outbox_state_known",
            ),
            models.CheckConstraint(
                condition=~Q(state="claimed") | Q(lease__isnull=False), name="outbox_claimed_has_lease"
            ),
            models.CheckConstraint(
                condition=~Q(state="sent") | Q(done_at__isnull=False), name="outbox_sent_has_time"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key} {self.state}"


class Counter(models.Model):
    """The last number given in a series (orders, invoices, tags); raised in the transaction that uses it."""

    series = models.CharField(max_length=30, unique=True)
    last = models.BigIntegerField(default=0)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(last__gte=0), name="counter_not_negative")]

    def __str__(self) -> str:
        return f"{self.series} {self.last}"


class SearchTerm(models.Model):
    """One word or number by which a row is found: folded in Python, searched as `key >= x AND key < x+`."""

    key = models.CharField(max_length=80)
    kind = models.CharField(max_length=20)
    weight = models.SmallIntegerField(default=0)
    target_kind = models.CharField(max_length=20)
    target_id = models.BigIntegerField()

    class Meta:
        indexes = [
            models.Index(fields=["target_kind", "key"], name="search_target_key"),
            models.Index(fields=["key"], name="search_key"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["target_kind", "target_id", "kind", "key"], name="search_term_of_row_once"
            ),
            models.CheckConstraint(condition=~Q(key=""), name="search_key_not_empty"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"

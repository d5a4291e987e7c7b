"""Kinds of tool, tools by tag, and their checks."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shopapp.shop.fields import AppendOnly


class ToolKind(models.Model):
    """A kind of tool; a critical one past its date needs the owner's reason (nut torque, IFP depth, charge)."""

    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    checked = models.BooleanField(default=False)
    critical = models.BooleanField(default=False)
    revision = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return self.name


class Tool(models.Model):
    """One tool of the crib, by its tag."""

    class State(models.TextChoices):
        GOOD = "good", _("in use")
        FAILED = "failed", _("failed its check")
        REPAIR = "repair", _("in repair")
        RETIRED = "retired", _("retired")

    kind = models.ForeignKey(ToolKind, on_delete=models.PROTECT, related_name="tools")
    tag = models.CharField(max_length=20, unique=True)
    narrowing = models.CharField(max_length=60, blank=True, default="")
    state = models.CharField(max_length=8, choices=State, default=State.GOOD)
    checked_until = models.DateField(null=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=["good", "failed", "repair", "retired"]), name="tool_state_known"
            )
        ]

    def __str__(self) -> str:
        return self.tag


class Checkout(models.Model):
    """A tool with somebody for a job, from when to when: one at a time. `took_back`: who put it back."""

    tool = models.ForeignKey(Tool, on_delete=models.PROTECT, related_name="checkouts")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="tool_checkouts"
    )
    job = models.ForeignKey("shopapp.Job", on_delete=models.PROTECT, related_name="tool_checkouts")
    bay = models.ForeignKey("shopapp.Bay", null=True, on_delete=models.PROTECT, related_name="tool_checkouts")
    out_at = models.DateTimeField()
    in_at = models.DateTimeField(null=True)
    took_back = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="tools_taken_back"
    )
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="tool_checkouts")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["tool"], condition=Q(in_at__isnull=True), name="tool_out_to_one"),
            models.CheckConstraint(
                condition=Q(in_at__isnull=True) | Q(in_at__gte=F("out_at")), name="tool_back_after_out"
            ),
            models.CheckConstraint(
                condition=Q(in_at__isnull=True, took_back__isnull=True)
                | Q(in_at__isnull=False, took_back__isnull=False),
                name="tool_back_by_somebody",
            ),
        ]


class Check(AppendOnly):
    """One calibration or inspection of a tool."""

    tool = models.ForeignKey(Tool, on_delete=models.PROTECT, related_name="checks")
    kind = models.CharField(
        max_length=12, choices=[("calibration", _("calibration")), ("inspection", _("inspection"))]
    )
    on = models.DateField()
    until = models.DateField(null=True)
    operations = models.PositiveIntegerField(null=True)
    readings = models.JSONField(default=list)
    passed = models.BooleanField()
    file_sha256 = models.CharField(max_length=64, blank=True, default="")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="tool_checks")
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="tool_checks")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["calibration", "inspection"]), name="check_kind_known"
            )
        ]

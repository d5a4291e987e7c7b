"""The bench sheet's entries and waits. An entry is a fact: stored whatever its order, corrected by a new one."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shopapp.orders.models import Job
from shopapp.shop.fields import AppendOnly
from shopapp.specs.models import Step


class Entry(AppendOnly):
    """One thing recorded at the bench."""

    class Kind(models.TextChoices):
        DO = "do", _("done")
        READING = "reading", _("reading")
        UNREADABLE = "unreadable", _("not readable")
        PROOF = "proof", _("proof")
        WAIT = "wait", _("wait begun")
        WAIT_END = "wait end", _("wait ended")
        PART = "part", _("part fitted")
        TOOL = "tool", _("tool used")
        CHOICE = "choice", _("choice")
        NOTE = "note", _("note")
        TAKEN = "taken", _("note taken")
        REASON = "reason", _("reason")
        COUNTERSIGN = "countersign", _("countersigned")
        RELEASE = "release", _("made safe")
        CLOSE = "close", _("closed")

    class Outside(models.TextChoices):
        ADVISORY = "advisory", _("outside an advisory limit")
        ABSOLUTE = "absolute", _("outside an absolute limit")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="entries")
    step = models.ForeignKey(Step, null=True, on_delete=models.PROTECT, related_name="entries")
    kind = models.CharField(max_length=11, choices=Kind)
    about = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="remarks")
    phase = models.CharField(max_length=8, blank=True, default="")
    name = models.CharField(max_length=40, blank=True, default="")
    position = models.CharField(max_length=40, blank=True, default="")
    value_kind = models.CharField(max_length=12, blank=True, default="")
    value_si = models.FloatField(null=True)
    value_unit = models.CharField(max_length=12, blank=True, default="")
    value_text = models.CharField(max_length=60, blank=True, default="")
    words = models.TextField(blank=True, default="", max_length=1000)
    payload = models.JSONField(default=dict)
    outside = models.CharField(max_length=8, choices=Outside, blank=True, default="")
    reason = models.CharField(max_length=300, blank=True, default="")
    out_of_order = models.BooleanField(default=False)
    to_countersign = models.BooleanField(default=False)
    tool = models.ForeignKey("shopapp.Tool", null=True, on_delete=models.PROTECT, related_name="entries")
    lot = models.ForeignKey("shopapp.Lot", null=True, on_delete=models.PROTECT, related_name="entries")
    replaces = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="replaced_by")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="entries")
    device = models.ForeignKey("shopapp.Device", null=True, on_delete=models.PROTECT, related_name="entries")
    typed_at = models.DateTimeField()
    clock_offset_ms = models.BigIntegerField(default=0)
    stored_at = models.DateTimeField()
    counter = models.PositiveBigIntegerField()
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="entries")

    class Meta:
        verbose_name_plural = "entries"
        indexes = [models.Index(fields=["job", "stored_at", "id"], name="entry_job_stored")]
        constraints = [
            models.UniqueConstraint(fields=["job", "device", "counter"], name="entry_counter_once"),
            models.UniqueConstraint(
                fields=["about"], condition=Q(kind="countersign"), name="entry_countersigned_once"
            ),
            models.UniqueConstraint(fields=["about"], condition=Q(kind="taken"), name="entry_note_taken_once"),
            models.CheckConstraint(
                condition=~Q(kind__in=["countersign", "taken"]) | Q(about__isnull=False),
                name="entry_says_about_what",
            ),
            models.CheckConstraint(
                condition=Q(
                    kind__in=[
                        "do",
                        "reading",
                        "unreadable",
                        "proof",
                        "wait",
                        "wait end",
                        "part",
                        "tool",
                        "choice",
                        "note",
                        "taken",
                        "reason",
                        "countersign",
                        "release",
                        "close",
                    ]
                ),
                name="entry_kind_known",
            ),
            models.CheckConstraint(
                condition=~Q(kind="reading") | Q(value_si__isnull=False), name="entry_reading_has_value"
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["unreadable", "reason", "release"]) | ~Q(words=""),
                name="entry_says_why",
            ),
            models.CheckConstraint(
                condition=Q(replaces__isnull=True) | ~Q(replaces=F("id")), name="entry_not_own_correction"
            ),
            models.CheckConstraint(
                condition=~Q(kind="tool") | Q(tool__isnull=False), name="entry_tool_named"
            ),
            models.CheckConstraint(
                condition=Q(outside__in=["", "advisory", "absolute"]), name="entry_outside_known"
            ),
        ]


class Wait(models.Model):
    """A wait with its clock: begun by an entry, due to end at a moment, ended by another entry."""

    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="wait")
    ends = models.DateTimeField()
    ended_by = models.OneToOneField(Entry, null=True, on_delete=models.PROTECT, related_name="ended_wait")

"""Entries of the bench sheet, waits, findings, pictures. An entry is a fact: stored whatever its order, for ever."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shopapp.bench.finding_words import ADVICE, GRADES, part_words
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
        PICTURE = "picture", _("picture")
        NOTE = "note", _("note")
        TAKEN = "taken", _("note taken")
        REASON = "reason", _("reason")
        COUNTERSIGN = "countersign", _("countersigned")
        FINDING = "finding", _("finding")
        PUT_RIGHT = "put right", _("put right")
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
        indexes = [
            models.Index(fields=["job", "stored_at", "id"], name="entry_job_stored"),
            models.Index(fields=["by", "stored_at"], name="entry_by_stored"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["job", "device", "counter"], name="entry_counter_once"),
            models.UniqueConstraint(
                fields=["about"], condition=Q(kind="countersign"), name="entry_countersigned_once"
            ),
            models.UniqueConstraint(
                fields=["about"], condition=Q(kind="taken"), name="entry_note_taken_once"
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["countersign", "taken", "put right"]) | Q(about__isnull=False),
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
                        "picture",
                        "note",
                        "taken",
                        "reason",
                        "countersign",
                        "finding",
                        "put right",
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
                condition=~Q(kind__in=["unreadable", "reason", "release", "finding", "put right"])
                | ~Q(words=""),
                name="entry_says_why",
            ),
            models.CheckConstraint(
                condition=Q(replaces__isnull=True) | ~Q(replaces=F("id")), name="entry_not_own_correction"
            ),
            models.CheckConstraint(
                condition=~Q(kind="tool") | Q(tool__isnull=False), name="entry_tool_named"
            ),
            models.CheckConstraint(
                condition=~Q(kind="picture") | Q(step__isnull=False) | Q(about__isnull=False),
                name="entry_picture_of_something",
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


class Finding(models.Model):
    """One thing found at a damper, as its entry says; the price is the desk's, the answer the customer's.

    The entry is the fact; this row is kept with it. A correction is an entry and a finding of its own under the same
    `number`. `answer` follows from the consents to this finding that nobody took back, `put_right` from the entries.
    """

    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="finding")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="findings")
    number = models.PositiveSmallIntegerField()
    part = models.CharField(max_length=20)
    part_words = models.CharField(max_length=60, blank=True, default="")
    advice = models.CharField(max_length=8, choices=list(ADVICE.items()))
    grade = models.CharField(max_length=8, choices=list(GRADES.items()))
    what = models.CharField(max_length=200, blank=True, default="")
    price = models.DecimalField(max_digits=12, decimal_places=4, null=True)
    tax_category = models.CharField(max_length=4, default="S")
    answer = models.CharField(max_length=3, blank=True, default="")
    put_right = models.OneToOneField(Entry, null=True, on_delete=models.PROTECT, related_name="puts_right")
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["job", "number", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(advice__in=["replace", "repair", "watch", "none"]), name="finding_advice_known"
            ),
            models.CheckConstraint(
                condition=Q(grade__in=["note", "should", "unsafe"]), name="finding_grade_known"
            ),
            models.CheckConstraint(condition=Q(answer__in=["", "yes", "no"]), name="finding_answer_known"),
            models.CheckConstraint(
                condition=~Q(answer="yes") | (Q(price__isnull=False) & ~Q(what="")),
                name="finding_agreed_has_price",
            ),
            models.CheckConstraint(
                condition=Q(price__isnull=True) | Q(price__gte=0), name="finding_price_not_negative"
            ),
            models.CheckConstraint(condition=Q(number__gte=1) & ~Q(part=""), name="finding_names_its_part"),
        ]

    def __str__(self) -> str:
        return f"{self.number} {part_words(self.part, self.part_words)}"


class Picture(AppendOnly):
    """A picture as it is kept: re-encoded by us, without what the camera wrote into it, named by its SHA-256.

    The bytes lie under the shop's media (papers/store.py). They are there before the row is; an entry names the
    picture afterwards. It is of one job's damper, or of one tool.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT, related_name="pictures")
    tool = models.ForeignKey("shopapp.Tool", null=True, on_delete=models.PROTECT, related_name="pictures")
    sha256 = models.CharField(max_length=64)
    place = models.CharField(max_length=200)
    size = models.PositiveIntegerField()
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="pictures")
    device = models.ForeignKey("shopapp.Device", null=True, on_delete=models.PROTECT, related_name="pictures")
    stored_at = models.DateTimeField()
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="pictures")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(job__isnull=False, tool__isnull=True) | Q(job__isnull=True, tool__isnull=False),
                name="picture_of_one_thing",
            ),
            models.CheckConstraint(
                condition=Q(size__gt=0, width__gt=0, height__gt=0) & ~Q(sha256="") & ~Q(place=""),
                name="picture_not_empty",
            ),
        ]


class EntryPicture(AppendOnly):
    """One picture of an entry, in its order, with the words that say what it shows (its alternative text)."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="pictures")
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="shown")
    number = models.PositiveSmallIntegerField()
    caption = models.CharField(max_length=120)

    class Meta:
        ordering = ["entry", "number"]
        constraints = [
            models.UniqueConstraint(fields=["entry", "number"], name="entry_picture_numbered_once"),
            models.UniqueConstraint(fields=["entry", "picture"], name="entry_picture_once"),
            models.CheckConstraint(condition=~Q(caption=""), name="entry_picture_says_what"),
        ]

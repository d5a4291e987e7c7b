"""Service specifications with their figures, and procedures with their steps. Frozen once released."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shopapp.dampers.models import Construction, Damper, DamperModel

STAGES = [
    ("receive", _("Receive")),
    ("wash", _("Wash")),
    ("settings", _("Record settings")),
    ("spring off", _("Take the spring off")),
    ("release", _("Release the gas")),
    ("strip", _("Strip")),
    ("inspect", _("Inspect")),
    ("reseal", _("Reseal")),
    ("rod", _("Build the rod")),
    ("fill", _("Fill and purge")),
    ("close", _("Close the body")),
    ("ifp", _("Set the IFP")),
    ("charge", _("Charge")),
    ("prove", _("Prove on the bench")),
    ("restore", _("Restore the settings")),
    ("final", _("Final check")),
]


class ServiceSpec(models.Model):
    """The sheet of figures for a model and variant, one tuned damper, or as found on one unit."""

    class Basis(models.TextChoices):
        MAKER = "maker", _("maker's sheet")
        SHOP = "shop", _("the shop's own figures")
        AS_FOUND = "as found", _("as found on one unit")

    model = models.ForeignKey(DamperModel, on_delete=models.PROTECT, related_name="specs")
    variant = models.CharField(max_length=60, blank=True, default="")
    damper = models.ForeignKey(Damper, null=True, on_delete=models.PROTECT, related_name="own_specs")
    basis = models.CharField(max_length=8, choices=Basis, default=Basis.MAKER)
    issue = models.PositiveSmallIntegerField(default=1)
    source = models.CharField(max_length=200)
    sheet_date = models.DateField(null=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="specs_entered"
    )
    depth_to = models.CharField(
        max_length=8, choices=[("gas_face", _("gas face")), ("oil_face", _("oil face"))], default="gas_face"
    )
    replaces = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="replaced_by")
    released_at = models.DateTimeField(null=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["model", "variant", "issue"], condition=Q(damper__isnull=True), name="spec_issue_once"
            ),
            models.UniqueConstraint(
                fields=["damper", "issue"], condition=Q(damper__isnull=False), name="spec_damper_issue_once"
            ),
            models.CheckConstraint(condition=~Q(source=""), name="spec_has_source"),
            models.CheckConstraint(
                condition=Q(depth_to__in=["gas_face", "oil_face"]), name="spec_depth_to_known"
            ),
            models.CheckConstraint(
                condition=Q(basis__in=["maker", "shop", "as found"]), name="spec_basis_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.model} {self.variant}".strip() + f", issue {self.issue}"


class SpecFigure(models.Model):
    """One figure of a sheet; its name comes from the registry in specs/figures.py."""

    spec = models.ForeignKey(ServiceSpec, on_delete=models.PROTECT, related_name="figures")
    name = models.CharField(max_length=40)
    position = models.CharField(max_length=40, blank=True, default="")
    kind = models.CharField(max_length=12)
    low_si = models.FloatField(null=True)
    low_unit = models.CharField(max_length=12, blank=True, default="")
    low_text = models.CharField(max_length=60, blank=True, default="")
    target_si = models.FloatField(null=True)
    target_unit = models.CharField(max_length=12, blank=True, default="")
    target_text = models.CharField(max_length=60, blank=True, default="")
    high_si = models.FloatField(null=True)
    high_unit = models.CharField(max_length=12, blank=True, default="")
    high_text = models.CharField(max_length=60, blank=True, default="")
    absolute = models.BooleanField(default=False)
    words = models.CharField(max_length=120, blank=True, default="")

    class Meta:
        ordering = ["spec_id", "id"]
        constraints = [
            models.UniqueConstraint(fields=["spec", "name", "position"], name="figure_once_per_spec"),
            models.CheckConstraint(
                condition=Q(low_si__isnull=True) | Q(high_si__isnull=True) | Q(low_si__lte=F("high_si")),
                name="figure_low_not_above_high",
            ),
            models.CheckConstraint(
                condition=Q(low_si__isnull=False)
                | Q(high_si__isnull=False)
                | Q(target_si__isnull=False)
                | ~Q(words=""),
                name="figure_says_something",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.position}".strip()


class SpecKit(models.Model):
    """The kit a sheet asks for, and oil as an item with its quantity in smallest units."""

    spec = models.ForeignKey(ServiceSpec, on_delete=models.PROTECT, related_name="kits")
    kit = models.ForeignKey("shopapp.Kit", null=True, on_delete=models.PROTECT, related_name="spec_lines")
    item = models.ForeignKey("shopapp.Item", null=True, on_delete=models.PROTECT, related_name="spec_lines")
    quantity = models.PositiveIntegerField(default=1)
    purpose = models.CharField(max_length=20, default="kit")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["spec", "purpose"], name="spec_kit_purpose_once"),
            models.CheckConstraint(
                condition=Q(kit__isnull=False, item__isnull=True) | Q(kit__isnull=True, item__isnull=False),
                name="spec_kit_or_item",
            ),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="spec_kit_some"),
        ]


class SpecTool(models.Model):
    """A kind of tool the sheet asks for, narrowed where it must be (a thread, a range)."""

    spec = models.ForeignKey(ServiceSpec, on_delete=models.PROTECT, related_name="tools")
    kind = models.ForeignKey("shopapp.ToolKind", on_delete=models.PROTECT, related_name="spec_lines")
    narrowing = models.CharField(max_length=60, blank=True, default="")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["spec", "kind", "narrowing"], name="spec_tool_once"),
        ]


class Procedure(models.Model):
    """The order of work for a construction, in versions; a running job keeps its own.

    `construction` is empty where nothing is opened and no gas is let out or in: then it serves any. `work` names the
    kind of work, alike for the procedures of all constructions: a kind of job asks for it. `shipped` is the issue with
    which it came with the program, 0 for a version of the shop's own.
    """

    name = models.CharField(max_length=80)
    work = models.CharField(max_length=40, blank=True, default="")
    construction = models.CharField(max_length=12, choices=Construction, blank=True, default="")
    version = models.PositiveSmallIntegerField(default=1)
    released_at = models.DateTimeField(null=True)
    retired_at = models.DateTimeField(null=True)
    shipped = models.PositiveSmallIntegerField(default=0)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["name", "version"], name="procedure_version_once"),
            models.UniqueConstraint(
                fields=["name"], condition=Q(released_at__isnull=True, shipped=0), name="procedure_one_draft"
            ),
            models.UniqueConstraint(
                fields=["name", "shipped"], condition=Q(shipped__gt=0), name="procedure_shipped_once"
            ),
            models.CheckConstraint(
                condition=Q(construction__in=["", *Construction.values]), name="procedure_construction_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, version {self.version}"


class Step(models.Model):
    """One thing to do, read, prove, wait for, fit, use, photograph or choose."""

    class Kind(models.TextChoices):
        DO = "do", _("do")
        READING = "reading", _("reading")
        PROOF = "proof", _("proof")
        WAIT = "wait", _("wait")
        PART = "part", _("part")
        TOOL = "tool", _("tool")
        PICTURE = "picture", _("picture")
        CHOICE = "choice", _("choice")

    class Phase(models.TextChoices):
        RECEIVED = "received", _("as received")
        REMOVED = "removed", _("as removed")
        BUILT = "built", _("as built")

    class Repeat(models.TextChoices):
        NONE = "", _("once")
        ADJUSTERS = "adjusters", _("each adjuster")
        FASTENERS = "fasteners", _("each fastener")
        SPRINGS = "springs", _("each spring")
        SIDES = "sides", _("each side")

    procedure = models.ForeignKey(Procedure, on_delete=models.PROTECT, related_name="steps")
    stage = models.CharField(max_length=12, choices=STAGES)
    order = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=40)
    kind = models.CharField(max_length=8, choices=Kind)
    name = models.CharField(max_length=120)
    text = models.TextField(blank=True, default="", max_length=600)
    figure = models.CharField(max_length=40, blank=True, default="")
    position = models.CharField(max_length=40, blank=True, default="")
    phase = models.CharField(max_length=8, choices=Phase, blank=True, default="")
    repeat = models.CharField(max_length=10, choices=Repeat, blank=True, default="")
    options = models.JSONField(default=list, blank=True)
    minutes = models.PositiveIntegerField(default=0)
    purpose = models.CharField(max_length=20, blank=True, default="")
    locks = models.CharField(max_length=12, choices=STAGES, blank=True, default="")
    required = models.BooleanField(default=True)
    second_tap = models.BooleanField(default=False)
    tool_kind = models.CharField(max_length=40, blank=True, default="")
    skill = models.CharField(max_length=20, blank=True, default="")
    computed = models.CharField(max_length=20, blank=True, default="")
    caution = models.CharField(max_length=30, blank=True, default="")
    own_caution = models.CharField(max_length=300, blank=True, default="")

    class Meta:
        ordering = ["procedure_id", "order"]
        constraints = [
            models.UniqueConstraint(fields=["procedure", "order"], name="step_order_once"),
            models.UniqueConstraint(fields=["procedure", "code"], name="step_code_once"),
            models.CheckConstraint(
                condition=Q(kind__in=["do", "reading", "proof", "wait", "part", "tool", "picture", "choice"]),
                name="step_kind_known",
            ),
            models.CheckConstraint(
                condition=~Q(kind="reading") | ~Q(figure=""), name="step_reading_has_figure"
            ),
            models.CheckConstraint(
                condition=~Q(kind="wait") | Q(minutes__gt=0), name="step_wait_has_minutes"
            ),
            models.CheckConstraint(
                condition=Q(stage__in=[code for code, _name in STAGES]), name="step_stage_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name

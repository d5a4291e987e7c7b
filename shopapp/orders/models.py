"""Work types, terms, work orders with their jobs and lines, and the customer's yes or no."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shopapp.customers.models import Customer, Vehicle
from shopapp.dampers.models import PLACES, Damper
from shopapp.shop.fields import AppendOnly, Measured
from shopapp.specs.models import STAGES, Procedure, ServiceSpec


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


HOW = [("counter", _("counter")), ("parcel", _("parcel"))]


class WorkOrder(models.Model):
    """What one customer brings at once. `expected_…`: what it was said to come to when received, never changed."""

    number = models.PositiveIntegerField(unique=True)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="orders")
    vehicle = models.ForeignKey(Vehicle, null=True, on_delete=models.PROTECT, related_name="orders")
    comes_by = models.CharField(max_length=8, choices=HOW, default="counter")
    comes_carrier = models.CharField(max_length=120, blank=True, default="")
    leaves_by = models.CharField(max_length=8, choices=HOW, default="counter")
    leaves_carrier = models.CharField(max_length=120, blank=True, default="")
    complaint = models.TextField(blank=True, default="", max_length=2000)
    accepted_at = models.DateTimeField(null=True)
    received_at = models.DateTimeField()
    received_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="orders_received"
    )
    promised = models.DateTimeField(null=True)
    limit_gross = models.DecimalField(max_digits=10, decimal_places=2, null=True)
    expected_net = models.DecimalField(max_digits=12, decimal_places=3, null=True)
    expected_gross = models.DecimalField(max_digits=12, decimal_places=3, null=True)
    terms = models.ForeignKey(Terms, null=True, on_delete=models.PROTECT, related_name="orders")
    terms_accepted_how = models.CharField(max_length=80, blank=True, default="")
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        indexes = [models.Index(fields=["promised"], name="order_promised")]
        constraints = [
            models.CheckConstraint(
                condition=Q(limit_gross__isnull=True) | Q(limit_gross__gte=0), name="order_limit_not_negative"
            ),
            models.CheckConstraint(condition=Q(comes_by__in=["counter", "parcel"]), name="order_comes_known"),
            models.CheckConstraint(
                condition=Q(leaves_by__in=["counter", "parcel"]), name="order_leaves_known"
            ),
        ]

    def __str__(self) -> str:
        return str(self.number)


class Job(models.Model):
    """One damper in one order for one work type.

    State, stage, is_open, outcome and the cause of a comeback are stored projections. `under_warranty`: what the shop
    does on a comeback costs the customer nothing. `wish`: what is asked of this damper beside the order's complaint.
    `shelf_…`: a shelf's code or free words, as the last `Placing` says, or as taken in. `parcel`: with which it left.
    `went_on`: the job of a later order in which a damper that stayed here goes on since `handed_over_at`.
    """

    class State(models.TextChoices):
        PLANNED = "planned", _("planned")
        IN_WORK = "in work", _("in work")
        STOPPED = "stopped", _("stopped")
        DONE = "done", _("done")
        VOID = "void", _("void")

    class Outcome(models.TextChoices):
        DONE = "done", _("done")
        UNREPAIRED = "unrepaired", _("returned unrepaired")
        UNCHARGED = "uncharged", _("returned uncharged")
        NOT_SERVICEABLE = "not serviceable", _("not serviceable")
        UNSAFE = "unsafe", _("stopped unsafe")

    class Cause(models.TextChoices):
        TECHNICIAN = "technician", _("a technician's slip")
        STAGE = "stage", _("a stage of the work")
        LOT = "lot", _("a lot of parts or oil")
        CUSTOMER = "customer", _("the use it was put to")
        OTHER = "other", _("something else")

    order = models.ForeignKey(WorkOrder, on_delete=models.PROTECT, related_name="jobs")
    number = models.PositiveSmallIntegerField()
    damper = models.ForeignKey(Damper, on_delete=models.PROTECT, related_name="jobs")
    work_type = models.ForeignKey(WorkType, on_delete=models.PROTECT, related_name="jobs")
    spec = models.ForeignKey(ServiceSpec, null=True, on_delete=models.PROTECT, related_name="jobs")
    procedure = models.ForeignKey(Procedure, null=True, on_delete=models.PROTECT, related_name="jobs")
    place = models.CharField(max_length=14, choices=PLACES, blank=True, default="")
    place_number = models.PositiveSmallIntegerField(default=1)
    rebuild = models.PositiveIntegerField(default=1)
    second_person = models.BooleanField(default=False)
    condition = models.CharField(max_length=200, blank=True, default="")
    wish = models.CharField(max_length=300, blank=True, default="")
    shelf_body = models.CharField(max_length=40, blank=True, default="")
    shelf_springs = models.CharField(max_length=40, blank=True, default="")
    shelf_tray = models.CharField(max_length=40, blank=True, default="")
    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="jobs"
    )
    bay = models.ForeignKey(Bay, null=True, on_delete=models.PROTECT, related_name="jobs")
    state = models.CharField(max_length=8, choices=State, default=State.PLANNED)
    stage = models.CharField(max_length=12, choices=STAGES, blank=True, default="")
    is_open = models.BooleanField(default=True)
    outcome = models.CharField(max_length=16, choices=Outcome, blank=True, default="")
    closed_at = models.DateTimeField(null=True)
    handed_over_at = models.DateTimeField(null=True)
    handed_over_to = models.CharField(max_length=120, blank=True, default="")
    parcel = models.ForeignKey("shopapp.Parcel", null=True, on_delete=models.PROTECT, related_name="jobs")
    went_on = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="came_from")
    comeback_of = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="comebacks")
    under_warranty = models.BooleanField(default=False)
    comeback_cause = models.CharField(max_length=10, choices=Cause, blank=True, default="")
    next_due = models.DateField(null=True)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        indexes = [
            models.Index(fields=["state", "order"], name="job_state_order"),
            models.Index(fields=["is_open", "state"], name="job_open_state"),
            models.Index(fields=["shelf_body"], name="job_shelf_body", condition=Q(is_open=True)),
        ]
        constraints = [
            models.UniqueConstraint(fields=["order", "number"], name="job_numbered_once"),
            models.UniqueConstraint(
                fields=["damper"], condition=Q(is_open=True), name="damper_in_one_open_job"
            ),
            models.CheckConstraint(
                condition=Q(state__in=["planned", "in work", "stopped", "done", "void"]),
                name="job_state_known",
            ),
            models.CheckConstraint(
                condition=Q(outcome__in=["", "done", "unrepaired", "uncharged", "not serviceable", "unsafe"]),
                name="job_outcome_known",
            ),
            models.CheckConstraint(
                condition=~Q(state="done") | (~Q(outcome="") & Q(closed_at__isnull=False)),
                name="job_done_has_outcome",
            ),
            models.CheckConstraint(
                condition=Q(handed_over_at__isnull=True) | Q(state="done", is_open=False),
                name="job_handed_over_is_done",
            ),
            models.CheckConstraint(
                condition=Q(parcel__isnull=True) | Q(handed_over_at__isnull=False),
                name="job_in_parcel_has_left",
            ),
            models.CheckConstraint(
                condition=Q(went_on=None) | Q(handed_over_at__isnull=False, parcel=None),
                name="job_gone_on_over",
            ),
            models.CheckConstraint(condition=~Q(state="void") | Q(is_open=False), name="job_void_is_shut"),
            models.CheckConstraint(
                condition=~Q(outcome="unsafe") | Q(state__in=["stopped", "done"]), name="job_unsafe_stopped"
            ),
            models.CheckConstraint(
                condition=Q(comeback_of__isnull=True) | ~Q(comeback_of=F("id")), name="job_not_own_comeback"
            ),
            models.CheckConstraint(
                condition=Q(comeback_of__isnull=False) | Q(under_warranty=False, comeback_cause=""),
                name="job_comeback_of_one",
            ),
            models.CheckConstraint(
                condition=Q(comeback_cause__in=["", "technician", "stage", "lot", "customer", "other"]),
                name="job_cause_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.order_id}/{self.number}"


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

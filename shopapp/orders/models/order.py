"""A work order and its jobs, one for each damper."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from shopapp.customers.models import Customer, Vehicle
from shopapp.dampers.models import PLACES, Damper
from shopapp.orders.models.kept import Bay, Terms, WorkType
from shopapp.shop.choices import words_of
from shopapp.specs.models import STAGES, Procedure, ServiceSpec

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

    get_place_display = words_of("place", PLACES)
    get_stage_display = words_of("stage", STAGES)
    get_outcome_display = words_of("outcome", Outcome.choices)

    class Meta:
        indexes = [
            models.Index(fields=["state", "order"], name="job_state_order"),
            models.Index(fields=["is_open", "state"], name="job_open_state"),
            models.Index(fields=["order"], name="job_came_back", condition=Q(comeback_of__isnull=False)),
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

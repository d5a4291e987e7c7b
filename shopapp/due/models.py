"""When a damper wants service next (a row can be computed again at any time), who signed at the hand-over, parcels."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from shopapp.dampers.models import Damper
from shopapp.shop.fields import AppendOnly


class Due(models.Model):
    """The next service of a damper: when, because of what, reckoned from which job."""

    damper = models.OneToOneField(Damper, on_delete=models.PROTECT, related_name="due")
    on = models.DateField(null=True)
    because = models.CharField(max_length=8, blank=True, default="")
    serviced_on = models.DateField()
    job = models.ForeignKey("shopapp.Job", on_delete=models.PROTECT, related_name="dues")

    class Meta:
        verbose_name_plural = "dues"
        indexes = [models.Index(fields=["on"], name="due_on")]
        constraints = [
            models.CheckConstraint(
                condition=Q(because__in=["", "distance", "hours", "months"]), name="due_because_known"
            )
        ]


class Signature(AppendOnly):
    """A signature as strokes: whole numbers, a line being 1000 wide. The act is what was signed.

    Under what was brought and the terms the typed name does alone: then there are no strokes.

    Evidence, like a consent to work: it names who signed, and is kept for the retention term.
    """

    class What(models.TextChoices):
        BROUGHT = "brought", _("brought")
        FETCHED = "fetched", _("received")
        UNSAFE = "unsafe", _("taken back unsafe to use")

    order = models.ForeignKey("shopapp.WorkOrder", on_delete=models.PROTECT, related_name="signatures")
    what = models.CharField(max_length=8, choices=What)
    name = models.CharField(max_length=120)
    strokes = models.JSONField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="signatures_taken"
    )
    at = models.DateTimeField()
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="signatures")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["act", "what"], name="signature_once"),
            models.CheckConstraint(
                condition=Q(what__in=["brought", "fetched", "unsafe"]), name="signature_what_known"
            ),
            models.CheckConstraint(condition=~Q(name=""), name="signature_names_somebody"),
        ]


class Parcel(AppendOnly):
    """What left by a carrier: with which number, how it was packed, and how gas in it goes, confirmed by a name.

    Its dampers are the jobs that name it. `packed` lists what was checked, by the codes of due/packing.py. `rule`: by
    which rule or number of the carrier's it goes charged, or who let the gas out and when.
    """

    class Gas(models.TextChoices):
        CHARGED = "charged", _("charged, as the carrier allows")
        LET_OUT = "let out", _("the gas was let out")
        NONE = "none", _("not charged")

    order = models.ForeignKey("shopapp.WorkOrder", on_delete=models.PROTECT, related_name="parcels")
    number = models.PositiveSmallIntegerField()
    carrier = models.CharField(max_length=60)
    consignment = models.CharField(max_length=60)
    packed = models.JSONField()
    gas = models.CharField(max_length=7, choices=Gas)
    rule = models.CharField(max_length=200, blank=True)
    confirmed = models.CharField(max_length=120)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="parcels")
    at = models.DateTimeField()
    act = models.OneToOneField("shopapp.Act", on_delete=models.PROTECT, related_name="parcel")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["order", "number"], name="parcel_numbered_once"),
            models.CheckConstraint(
                condition=Q(gas__in=["charged", "let out", "none"]), name="parcel_gas_known"
            ),
            models.CheckConstraint(condition=Q(gas="none") | ~Q(rule=""), name="parcel_gas_explained"),
            models.CheckConstraint(
                condition=~Q(carrier="") & ~Q(consignment="") & ~Q(confirmed=""), name="parcel_named"
            ),
        ]

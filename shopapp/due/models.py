"""When a damper wants service next. A row can be computed again at any time."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from shopapp.dampers.models import Damper


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

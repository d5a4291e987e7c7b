"""Frozen papers: the figures they were issued with, and the file they were rendered to."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from shopapp.shop.fields import AppendOnly


class Paper(AppendOnly):
    """A paper as issued: its figures never change, whatever becomes of rows and templates."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=30)
    subject_kind = models.CharField(max_length=40)
    subject_id = models.CharField(max_length=40)
    number = models.PositiveSmallIntegerField(default=1)
    figures = models.JSONField()
    figures_hash = models.CharField(max_length=64)
    language = models.CharField(max_length=10, default="en")
    act = models.ForeignKey("shopapp.Act", on_delete=models.PROTECT, related_name="papers")
    issued_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "subject_kind", "subject_id", "number"], name="paper_numbered_once"
            ),
            models.CheckConstraint(condition=~Q(figures_hash=""), name="paper_has_hash"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.subject_kind} {self.subject_id}"


class PaperFile(AppendOnly):
    """The rendered file of a paper: its SHA-256 and where the bytes lie under SHOP_DATA."""

    paper = models.OneToOneField(Paper, on_delete=models.PROTECT, related_name="file")
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    place = models.CharField(max_length=200)
    rendered_at = models.DateTimeField()

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(size__gt=0), name="paper_file_not_empty")]

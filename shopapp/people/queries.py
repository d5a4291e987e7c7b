"""What pages read of people."""

from __future__ import annotations

from django.db.models import QuerySet

from shopapp.people.models import Person


def people() -> QuerySet[Person]:
    """List everybody, those who left last."""
    return Person.objects.prefetch_related("groups").order_by("-is_active", "name", "pk")


def owner_exists() -> bool:
    """Say whether somebody who can still sign in is an owner."""
    return Person.objects.filter(groups__name="owner", is_active=True).exists()


def technicians() -> QuerySet[Person]:
    """List who may be given a job at the bench."""
    return Person.objects.filter(groups__name="technician", is_active=True).order_by("name", "pk")


def skilled() -> list[Person]:
    """List who works at the bench and has a skill, by initials."""
    rows = Person.objects.filter(groups__name__in=["technician", "owner"], is_active=True).exclude(skills=[])
    return list(rows.distinct().order_by("initials"))

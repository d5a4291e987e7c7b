"""Who works here: people with roles and skills, their devices, and every attempt to sign in."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, Group
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from shopapp.shop.fields import AppendOnly

ROLES = ("desk", "technician", "owner")


class PersonManager(BaseUserManager["Person"]):
    """Find people by log-in name whatever its case (names are kept folded)."""

    def get_by_natural_key(self, username: str | None) -> Person:
        return self.get(login_name=(username or "").strip().casefold())


class Person(AbstractBaseUser):
    """Somebody who works in the shop. Customers are never users."""

    login_name = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    initials = models.CharField(max_length=4, unique=True)
    email = models.EmailField(blank=True, default="")
    groups = models.ManyToManyField(Group, blank=True, related_name="people")
    skills = models.JSONField(default=list, blank=True)
    countersign_needed = models.BooleanField(default=False)
    is_active = models.BooleanField(default=True)
    theme = models.CharField(
        max_length=5, choices=[("light", _("light")), ("dark", _("dark"))], default="light"
    )
    revision = models.PositiveIntegerField(default=1)

    objects = PersonManager()

    USERNAME_FIELD = "login_name"
    REQUIRED_FIELDS = ["name", "initials"]

    class Meta:
        verbose_name_plural = "people"
        constraints = [
            models.CheckConstraint(condition=Q(login_name=Lower("login_name")), name="person_login_folded"),
            models.CheckConstraint(condition=~Q(initials=""), name="person_has_initials"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def roles(self) -> frozenset[str]:
        """The person's roles, read once for each object."""
        if not hasattr(self, "_roles"):
            self._roles = frozenset(self.groups.values_list("name", flat=True))
        return self._roles


class Device(models.Model):
    """A browser, known by a cookie whose hash is kept. The row comes with the first sign-in; a GET makes none."""

    cookie_hash = models.CharField(max_length=64, unique=True)
    name = models.CharField(max_length=60, blank=True, default="")
    first_seen = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return self.name or f"device {self.pk}"


class SignInAttempt(AppendOnly):
    """One attempt to sign in, by the person tried and the device it came from."""

    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="sign_ins")
    login_hash = models.CharField(max_length=64, blank=True, default="")
    device = models.ForeignKey(Device, null=True, on_delete=models.PROTECT, related_name="sign_ins")
    at = models.DateTimeField()
    ok = models.BooleanField()

    class Meta:
        indexes = [models.Index(fields=["login_hash", "at"], name="signin_login_at")]

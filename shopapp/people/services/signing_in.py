"""Signing in with attempts counted per person and per device, never per address (a shop has one address)."""

from __future__ import annotations

import hashlib
from datetime import datetime, timedelta

from django.contrib.auth.hashers import make_password
from django.db.models import Q

from shopapp.people.models import Device, Person, SignInAttempt

WINDOW = timedelta(minutes=15)
MOST_PER_LOGIN = 8
MOST_PER_DEVICE = 20


def fold_login(text: str) -> str:
    """Fold a log-in name as it is kept."""
    return text.strip().casefold()[:40]


def login_hash(login_name: str) -> str:
    """Give the hash under which attempts at a log-in name are counted (an unknown name is not stored in clear)."""
    return hashlib.sha256(fold_login(login_name).encode("utf-8", "replace")).hexdigest()


def is_locked(*, login_name: str, device: Device | None, at: datetime) -> bool:
    """Say whether this log-in name (or this device) failed too often in the last WINDOW; a success clears it."""
    since = at - WINDOW
    key = login_hash(login_name)
    good = SignInAttempt.objects.filter(login_hash=key, ok=True, at__gte=since).order_by("-at").first()
    start = max(since, good.at) if good else since
    if SignInAttempt.objects.filter(login_hash=key, ok=False, at__gt=start).count() >= MOST_PER_LOGIN:
        return True
    if device is None:
        return False
    return SignInAttempt.objects.filter(Q(device=device), ok=False, at__gt=since).count() >= MOST_PER_DEVICE


def check_sign_in(*, login_name: str, password: str, device: Device | None, at: datetime) -> Person | None:
    """Check a log-in and store the attempt; None where it is wrong, locked or the person has left.

    The time is the same for a known and an unknown name (a password is hashed either way).
    """
    person = Person.objects.filter(login_name=fold_login(login_name)).first()
    locked = is_locked(login_name=login_name, device=device, at=at)
    if person is None:
        make_password(password)
        right = False
    else:
        right = person.check_password(password) and person.is_active
    ok = right and not locked
    SignInAttempt.objects.create(
        person=person, login_hash=login_hash(login_name), device=device, at=at, ok=ok
    )
    return person if ok else None

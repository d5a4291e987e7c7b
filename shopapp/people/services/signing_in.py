"""Signing in, with attempts counted per log-in name and per device.

Never per network address: a shop has one, and whoever guesses from a corner of it would lock everybody out. Tries are
counted one after another: of many at once no more are heard than the limit.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.contrib.auth.hashers import make_password
from django.db import transaction

from shopapp.people.models import Device, Person, SignInAttempt
from shopapp.shop.services.counters import next_number

WINDOW = timedelta(minutes=15)
MOST_PER_LOGIN = 8
MOST_PER_DEVICE = 20

TURN = "sign-ins"


@dataclass(frozen=True)
class SignIn:
    """What came of a try: who is in (or None), and whether it was not even heard because of the tries before."""

    person: Person | None
    locked: bool


def fold_login(text: str) -> str:
    """Fold a log-in name as it is kept."""
    return text.strip().casefold()[:40]


def login_hash(login_name: str) -> str:
    """Give the hash under which attempts at a log-in name are counted (an unknown name is not stored in clear)."""
    return hashlib.sha256(fold_login(login_name).encode("utf-8", "replace")).hexdigest()


def is_locked(*, login_name: str, device: Device | None, at: datetime) -> bool:
    """Say whether this name or device failed too often in the last WINDOW; a success clears the name."""
    since = at - WINDOW
    key = login_hash(login_name)
    good = SignInAttempt.objects.filter(login_hash=key, ok=True, at__gte=since).order_by("-at").first()
    start = max(since, good.at) if good else since
    if SignInAttempt.objects.filter(login_hash=key, ok=False, at__gt=start).count() >= MOST_PER_LOGIN:
        return True
    wrong = SignInAttempt.objects.filter(device=device, ok=False, at__gt=since)
    return device is not None and wrong.count() >= MOST_PER_DEVICE


def check_sign_in(*, login_name: str, password: str, device: Device | None, at: datetime) -> SignIn:
    """Check a log-in and store the attempt; nobody is in where it is wrong, locked or the person has left.

    The time is the same for a known and an unknown name (a password is hashed either way, before the turn is taken).
    """
    person = Person.objects.filter(login_name=fold_login(login_name)).first()
    if person is None:
        make_password(password)
        right = False
    else:
        right = person.check_password(password) and person.is_active
    with transaction.atomic():
        next_number(TURN)  # one row that every try writes first: they are counted one after another
        locked = is_locked(login_name=login_name, device=device, at=at)
        ok = right and not locked
        SignInAttempt.objects.create(
            person=person, login_hash=login_hash(login_name), device=device, at=at, ok=ok
        )
    return SignIn(person if ok else None, locked)

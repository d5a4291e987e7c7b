"""Signing in with attempts counted per person, per device, and per address for who never signed in from a device.

A shop has one address, so a device that has signed in before is never held up by what others try from there. Tries
are counted one after another: of many at once no more are heard than the limit.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.db.models import Q, Sum
from django.utils.crypto import salted_hmac

from shopapp.people.models import Device, Person, SignInAttempt
from shopapp.shop.models import Counter
from shopapp.shop.services.counters import next_number

WINDOW = timedelta(minutes=15)
MOST_PER_LOGIN = 8
MOST_PER_DEVICE = 20
MOST_PER_ADDRESS = 40
"""Wrong tries in WINDOW from one address, of browsers that never signed in; known devices are not held to it."""

TURN = "sign-ins"
TRIES = "tries "


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


def is_locked(*, login_name: str, device: Device | None, at: datetime, address: str = "") -> bool:
    """Say whether this name, device or address failed too often in the last WINDOW; a success clears the name."""
    since = at - WINDOW
    key = login_hash(login_name)
    good = SignInAttempt.objects.filter(login_hash=key, ok=True, at__gte=since).order_by("-at").first()
    start = max(since, good.at) if good else since
    if SignInAttempt.objects.filter(login_hash=key, ok=False, at__gt=start).count() >= MOST_PER_LOGIN:
        return True
    if device is not None:
        wrong = SignInAttempt.objects.filter(Q(device=device), ok=False, at__gt=since)
        if wrong.count() >= MOST_PER_DEVICE:
            return True
    return not is_known(device) and tries_from(address, at) >= MOST_PER_ADDRESS


def is_known(device: Device | None) -> bool:
    """Say whether somebody has signed in from this device before."""
    return device is not None and SignInAttempt.objects.filter(device=device, ok=True).exists()


def _spans(at: datetime) -> list[str]:
    """Give the beginnings of the counters' names for this span of WINDOW and the one before."""
    span = int(at.timestamp() // WINDOW.total_seconds())
    return [f"{TRIES}{span} ", f"{TRIES}{span - 1} "]


def _of(address: str) -> str:
    """Give the keyed hash under which an address is counted; the address itself is kept nowhere."""
    return salted_hmac("shopapp.people.address", address, algorithm="sha256").hexdigest()[:12]


def tries_from(address: str, at: datetime) -> int:
    """Count the wrong tries from an address in this span of WINDOW and the one before."""
    if not address:
        return 0
    names = [span + _of(address) for span in _spans(at)]
    return Counter.objects.filter(series__in=names).aggregate(tries=Sum("last"))["tries"] or 0


def _count_address(address: str, at: datetime) -> None:
    """Count a wrong try from an address, and forget the spans that are over."""
    this, before = _spans(at)
    next_number(this + _of(address))
    old = Counter.objects.filter(series__startswith=TRIES)
    old.exclude(series__startswith=this).exclude(series__startswith=before).delete()


def check_sign_in(
    *, login_name: str, password: str, device: Device | None, at: datetime, address: str = ""
) -> SignIn:
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
        locked = is_locked(login_name=login_name, device=device, at=at, address=address)
        ok = right and not locked
        if address and not ok and not is_known(device):
            _count_address(address, at)
        SignInAttempt.objects.create(
            person=person, login_hash=login_hash(login_name), device=device, at=at, ok=ok
        )
    return SignIn(person if ok else None, locked)

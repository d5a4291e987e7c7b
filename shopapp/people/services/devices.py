"""Devices: a browser is known by a random cookie; only its hash is kept."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime

from shopapp.people.models import Device

COOKIE = "shop_device"
COOKIE_SECONDS = 60 * 60 * 24 * 400


def _hash(cookie: str) -> str:
    return hashlib.sha256(cookie.encode("utf-8", "replace")).hexdigest()


def find(cookie: str) -> Device | None:
    """Find the device of a cookie; an unknown or empty cookie gives None."""
    if not cookie or len(cookie) > 100:
        return None
    return Device.objects.filter(cookie_hash=_hash(cookie)).first()


def know_device(*, cookie: str, at: datetime, name: str = "") -> tuple[Device, str]:
    """Give the device of this cookie, or make one; the second value is a new cookie to set, or ""."""
    device = find(cookie)
    if device is not None:
        return device, ""
    new = secrets.token_urlsafe(32)
    return Device.objects.create(cookie_hash=_hash(new), first_seen=at, name=name[:60]), new

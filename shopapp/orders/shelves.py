"""What a shelf's code looks like, typed or scanned: capitals, digits and hyphens, with a letter among them."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from django.utils.translation import gettext as _

from shopapp.orders.models import Job, Placing, Shelf

LONGEST: Final = 10
LONGEST_PLACE: Final = 40
_CODE = re.compile(r"(?=.*[A-Z])[A-Z0-9](?:[A-Z0-9-]*[A-Z0-9])?")
_ADDRESS = re.compile(r"(?:.*/)?S/([A-Z0-9-]+)/?")


def plain(text: str) -> str:
    """Give the code that a typed or scanned text says (an address before it left out), "" where it is none."""
    typed = unicodedata.normalize("NFKC", text[:200]).strip().upper()
    scanned = _ADDRESS.fullmatch(typed)
    code = scanned.group(1) if scanned else typed
    return code if len(code) <= LONGEST and code.isascii() and _CODE.fullmatch(code) else ""


def shelf_of(text: str) -> Shelf | None:
    """Find the shelf that a typed or scanned text names, a retired one too."""
    code = plain(text)
    return Shelf.objects.filter(code=code).first() if code else None


def named(text: str) -> Shelf | None:
    """Find the shelf that a text names at intake: by its code, by its scanned address, or as its label says it."""
    found = shelf_of(text)
    rack, comma, shelf = " ".join(text.split()).rpartition(", ")
    if found is None and comma:
        return Shelf.objects.filter(rack__iexact=rack, shelf__iexact=shelf, retired_at__isnull=True).first()
    return found


def refused(text: str) -> str:
    """Say what is wrong with a place typed at intake; "" for a shelf that is used, and where no shelf is set up yet."""
    shelf = named(text)
    if shelf is not None and shelf.retired_at is not None:
        return _("Shelf %s is no longer used. Scan another one.") % shelf.code
    if shelf is None and Shelf.objects.filter(retired_at__isnull=True).exists():
        words = _(
            "“%s” is no shelf. Scan the shelf's label or type its code, such as R2-4; or leave it empty, and say later "
            "where it lies."
        )
        return words % text[:60]
    if shelf is None and len(text) > LONGEST_PLACE:
        return _("Say in at most %s characters where it lies.") % LONGEST_PLACE
    return ""


def lies(job: Job) -> str:
    """Say where the parts of a damper lie: one place where all lie there, else part by part; "" if none is noted."""
    places = {part: str(getattr(job, f"shelf_{part}")) for part in Placing.Part.values}
    noted = {part: place for part, place in places.items() if place}
    if len(noted) == len(places) and len(set(noted.values())) == 1:
        return places["body"]
    return ", ".join(f"{Placing.Part(part).label} {place}" for part, place in noted.items())

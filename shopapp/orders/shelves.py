"""What a shelf's code looks like, typed or scanned: capitals, digits and hyphens, with a letter among them."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from shopapp.orders.models import Job, Placing, Shelf

LONGEST: Final = 10
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


def lies(job: Job) -> str:
    """Say where the parts of a damper lie: one place where all lie there, else part by part; "" if none is noted."""
    places = {part: str(getattr(job, f"shelf_{part}")) for part in Placing.Part.values}
    noted = {part: place for part, place in places.items() if place}
    if len(noted) == len(places) and len(set(noted.values())) == 1:
        return places["body"]
    return ", ".join(f"{Placing.Part(part).label} {place}" for part, place in noted.items())

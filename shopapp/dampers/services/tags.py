"""A damper's tag: seven digits and a check digit, written `4082 217-1`."""

from __future__ import annotations

import re
import unicodedata

from django.utils.translation import gettext as _

from shopapp.shop.services.acts import Refused
from shopapp.shop.services.counters import next_number

SIZE = 10**7
# Any odd factor that ends in 1, 3, 7 or 9 gives each counter a number of its own. This one changes at least three of
# the seven digits between any two of twelve tags that follow one another (tests/dampers/test_tags.py counts them).
SPREAD = 6_180_339
START = 4_082_217 - SPREAD
_ADDRESS = re.compile(r"^(?:.*/)?D/([0-9]+)(?:/([BST]))?/?$", re.IGNORECASE)
PARTS = {"B": "body", "S": "springs", "T": "tray"}
"""By what the codes of a damper's labels end; one that ends in the tag is the body's."""


def check_digit(seven: str) -> str:
    """Give the check digit of ISO/IEC 7064, MOD 11,10: it catches each wrong digit and each swap but rare ones."""
    product = 10
    for digit in seven:
        total = (int(digit) + product) % 10 or 10
        product = total * 2 % 11
    return str((11 - product) % 10)


def spread(count: int) -> str:
    """Give the seven digits of the `count`-th tag: a permutation of all of them."""
    return f"{(START + count * SPREAD) % SIZE:07d}"


def new_tag() -> str:
    """Give the next tag, eight digits; call it inside the transaction that uses it."""
    count = next_number("tag")
    if count > SIZE:
        raise Refused(_("All ten million tags are given."))
    seven = spread(count)
    return seven + check_digit(seven)


def show(tag: str) -> str:
    """Write a tag as it is printed: `4082 217-1`."""
    return f"{tag[:4]} {tag[4:7]}-{tag[7:]}"


def plain(text: str) -> str:
    """Give the digits of a typed or scanned tag (blanks, hyphens and an address before it left out), "" if none."""
    typed = unicodedata.normalize("NFKC", text[:200]).strip()
    scanned = _ADDRESS.match(typed)
    digits = scanned.group(1) if scanned else re.sub(r"[\s\-‐‑‒–—−.]", "", typed)
    return digits if digits.isascii() and digits.isdigit() else ""


def part(text: str) -> str:
    """Say which part's label was scanned: body, springs or tray; "" for a tag that names none."""
    scanned = _ADDRESS.match(unicodedata.normalize("NFKC", text[:200]).strip())
    return PARTS.get((scanned.group(2) or "").upper(), "") if scanned else ""


def looks_like(text: str) -> bool:
    """Say whether a text is a whole good tag."""
    digits = plain(text)
    return len(digits) == 8 and check_digit(digits[:7]) == digits[7]


def read(text: str) -> str:
    """Read a tag as typed or scanned; give its eight digits, or refuse in a sentence."""
    digits = plain(text)
    if len(digits) != 8:
        raise Refused(_("A tag has eight digits, such as 4082 217-1. Type or scan it again."), field="tag")
    if check_digit(digits[:7]) != digits[7]:
        raise Refused(
            _("The tag %s is mistyped: its check digit does not fit. Look at the tag again.") % show(digits),
            field="tag",
        )
    return digits

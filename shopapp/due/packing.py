"""What is looked at before a parcel is closed, one by one: common practice, written for dampers."""

from __future__ import annotations

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

POINTS: Final[dict[str, str | Promise]] = {
    "valve": _("gas valve capped, where there is one"),
    "adjusters": _("adjusters, hoses and fittings protected from a knock"),
    "body": _("the body cannot move: held all round, rod and eyes padded"),
    "stated": _("charged or not is written on each damper"),
    "papers": _("report and this slip are in the parcel"),
}
"""By code, as `Parcel.packed` keeps them; all of them are asked for."""


def missing(packed: list[str]) -> list[str]:
    """Give in words what was not checked."""
    return [str(words) for code, words in POINTS.items() if code not in packed]


def words_of(packed: list[str]) -> list[str]:
    """Give in words what was checked; a code that is not known any more as it stands."""
    return [str(POINTS.get(code, code)) for code in packed]

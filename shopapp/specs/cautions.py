"""The cautions, whole: each stands at its step on the bench sheet and on the printed one."""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

CAUTIONS: dict[str, str | Promise] = {
    "gas": _(
        "Gas under pressure. Eye protection; valve and cap away from people; slowly; core out; prove zero; the oil "
        "side may still be live: crack the seal head a turn, wrapped, standing aside. Never air pressure to drive "
        "out an IFP or bladder. Never weld, drill or heat a charged body."
    ),
    "spring": _("Stored spring force. A rated compressor, evenly loaded; out of the spring's line."),
    "nitrogen": _(
        "Nitrogen. Dry nitrogen only, through a regulator rated for the bottle, set first, in steps; never oxygen, "
        "never shop air; bottles chained; ventilated: nitrogen displaces the air one breathes without a warning."
    ),
    "air": _(
        "Compressed air for cleaning. Eye protection, chip guarding; OSHA 29 CFR 1910.242(b) limits cleaning air to "
        "less than 30 psi in US workplaces; other places have their own rules."
    ),
    "solvents": _("Solvents and oil. Ventilation, gloves, no flame; waste by local rules."),
    "clamping": _("Clamping. Soft jaws, on the eyelet, never on the bore."),
    "shipping": _("Shipping. A charged damper can count as dangerous goods: the carrier's rules decide."),
    "limits": _(
        "Limits of this program. Its figures support a trained person's judgement. The maker's sheet, local codes "
        "and a licensed or qualified person decide; where they disagree with the program, they are right."
    ),
}

KINDS: dict[str, str | Promise] = {
    "gas": _("gas under pressure"),
    "spring": _("stored spring force"),
    "nitrogen": _("nitrogen"),
    "air": _("compressed air for cleaning"),
    "solvents": _("solvents and oil"),
    "clamping": _("clamping"),
    "shipping": _("shipping"),
    "limits": _("limits of this program"),
}
"""What each caution is called where one is chosen."""


def words(code: str) -> str:
    """Give a caution's sentences, or "" for no code."""
    return str(CAUTIONS[code]) if code else ""


def said_at(code: str, own: str = "") -> str:
    """Give what is said at a step: the caution as it stands here, whole, and after it the shop's own words."""
    return " ".join(part for part in (words(code), own.strip()) if part)

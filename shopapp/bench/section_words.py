"""The words of the damper's half-section, on the page and on the report alike, by the construction."""

from __future__ import annotations

from django.utils.translation import gettext as _

from shopapp.dampers.models import Construction
from shopapp.drawings.damper import Build, SectionWords


def build_of(construction: str) -> Build | None:
    """Give how a construction is drawn; None for one of the shop's own, which has no drawing."""
    return Build(construction) if construction in set(Build) else None


def section_words(construction: str = Construction.RESERVOIR) -> SectionWords:
    """Give the drawing's words in the language that is active."""
    compensator = construction == Construction.THROUGH_ROD
    return SectionWords(
        title=_title(construction),
        eye_centres=_("Eye centres"),
        stroke=_("stroke"),
        body_bore=_("bore"),
        rod_diameter=_("rod"),
        preload=_("Preload ring from the cap"),
        reservoir_bore=_("compensator bore") if compensator else _("reservoir bore"),
        reservoir_length=_("compensator") if compensator else _("reservoir"),
        ifp_depth=_("piston depth") if compensator else _("IFP depth"),
        gas=_("charge"),
        oil=_("oil"),
        level=_("oil level"),
        spring=_("Spring"),
        finding=_("Finding"),
        unmeasured=_("not measured"),
        not_to_scale=_("not to scale"),
    )


def _title(construction: str) -> str:
    return {
        Construction.IFP_BODY.value: _("Damper with IFP in the body, half-section, rod out"),
        Construction.BLADDER.value: _("Damper with bladder in its reservoir, half-section, rod out"),
        Construction.EMULSION.value: _("Emulsion damper, half-section, rod out"),
        Construction.THROUGH_ROD.value: _("Through-rod damper with compensator, half-section"),
        Construction.TWIN_TUBE.value: _("Twin-tube damper, half-section, rod out"),
    }.get(str(construction), _("Damper with reservoir, half-section, rod out"))

"""The words of the damper's half-section, on the page and on the report alike."""

from __future__ import annotations

from django.utils.translation import gettext as _

from shopapp.drawings.damper import SectionWords


def section_words() -> SectionWords:
    """Give the drawing's words in the language that is active."""
    return SectionWords(
        title=_("Damper with reservoir, half-section, rod out"),
        eye_centres=_("Eye centres"),
        stroke=_("stroke"),
        body_bore=_("bore"),
        rod_diameter=_("rod"),
        preload=_("Preload ring from the cap"),
        reservoir_bore=_("reservoir bore"),
        reservoir_length=_("reservoir"),
        ifp_depth=_("IFP depth"),
        gas=_("charge"),
        oil=_("oil"),
        spring=_("Spring"),
        finding=_("Finding"),
        unmeasured=_("not measured"),
        not_to_scale=_("not to scale"),
    )

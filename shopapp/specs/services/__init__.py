"""What people do with specifications, and how the shipped procedures come into the database."""

from shopapp.specs.services.figures_in import FigureIn, SpecKitIn, SpecToolIn
from shopapp.specs.services.sheets import change_draft, draft_spec, release_spec, renew_spec

__all__ = ["FigureIn", "SpecKitIn", "SpecToolIn", "change_draft", "draft_spec", "release_spec", "renew_spec"]

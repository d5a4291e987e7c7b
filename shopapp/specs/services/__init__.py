"""What people do with specifications and procedures, and how the shipped procedures come into the database."""

from shopapp.specs.services.figures_in import FigureIn, SpecKitIn, SpecToolIn
from shopapp.specs.services.procedures import (
    begin_procedure,
    discard_draft,
    name_procedure,
    release_procedure,
    renew_procedure,
    retire_procedure,
)
from shopapp.specs.services.sheets import change_draft, draft_spec, release_spec, renew_spec
from shopapp.specs.services.steps import add_step, change_step, move_step, remove_step

__all__ = [
    "FigureIn", "SpecKitIn", "SpecToolIn", "add_step", "begin_procedure", "change_draft", "change_step",
    "discard_draft", "draft_spec", "move_step", "name_procedure", "release_procedure", "release_spec", "remove_step",
    "renew_procedure", "renew_spec", "retire_procedure",
]  # fmt: skip

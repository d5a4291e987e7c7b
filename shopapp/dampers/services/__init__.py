"""What is done with dampers: models and dampers added, owners and places kept, tags given and read."""

from shopapp.dampers.services import tags
from shopapp.dampers.services.dampers import add_damper, change_damper, fit_damper, retire_damper, set_owner
from shopapp.dampers.services.models import NewAdjuster, add_model, change_model

__all__ = [
    "NewAdjuster",
    "add_damper",
    "add_model",
    "change_damper",
    "change_model",
    "fit_damper",
    "retire_damper",
    "set_owner",
    "tags",
]

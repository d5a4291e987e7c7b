"""The one Django app: at start it lets each subject register what it gives to the subjects below it."""

from importlib import import_module
from importlib.util import find_spec

from django.apps import AppConfig
from django.utils.translation import gettext

from shopapp.calc.words import speak_through

SUBJECTS = (
    "shop", "people", "papers", "customers", "dampers", "specs", "stock", "tools",
    "orders", "bench", "money", "due", "web", "demo",
)  # fmt: skip


class ShopappConfig(AppConfig):
    name = "shopapp"
    label = "shopapp"
    verbose_name = "Damper shop"

    def ready(self) -> None:
        speak_through(gettext)
        for subject in SUBJECTS:
            if find_spec(f"shopapp.{subject}.handlers"):
                import_module(f"shopapp.{subject}.handlers")

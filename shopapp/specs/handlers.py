"""What the specs subject registers: its procedures are loaded after every migrate, also without the demo."""

from typing import Any

from django.db import connections
from django.db.models.signals import post_migrate
from django.utils import timezone

from shopapp.specs.models import Step
from shopapp.specs.services import shipped


def load_procedures(sender: Any, using: str, **kwargs: Any) -> None:
    """Load the shipped procedures where the tables are there (a migrate back to nothing has none)."""
    if sender.label != "shopapp" or using != "default":
        return
    if Step._meta.db_table in connections[using].introspection.table_names():
        shipped.load_shipped(at=timezone.now())


post_migrate.connect(load_procedures, dispatch_uid="specs.load_procedures")

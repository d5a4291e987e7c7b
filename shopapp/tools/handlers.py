"""What the tools subject registers: its book, and the kinds that the shipped procedures name."""

from typing import Any

from django.db import connections
from django.db.models.signals import post_migrate

from shopapp.shop import books
from shopapp.tools import services
from shopapp.tools.books import BOOK, OUT, differences, out_differences
from shopapp.tools.models import ToolKind

books.register(BOOK, differences)
books.register(OUT, out_differences)


def make_kinds(sender: Any, using: str, **kwargs: Any) -> None:
    """Make the shipped kinds after a migrate, where the table is there."""
    if sender.label != "shopapp" or using != "default":
        return
    if ToolKind._meta.db_table in connections[using].introspection.table_names():
        services.ensure_kinds()


post_migrate.connect(make_kinds, dispatch_uid="tools.make_kinds")

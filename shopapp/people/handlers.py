"""What the people subject registers: the check that every URL has a right, and the three roles."""

from typing import Any

from django.core import checks
from django.db.models.signals import post_migrate

from shopapp.people import rights
from shopapp.people.services import staff


@checks.register(checks.Tags.urls)
def every_url_has_a_right(app_configs: Any = None, **kwargs: Any) -> list[checks.CheckMessage]:
    return [
        checks.Error(
            f"The URL {name!r} has no right.", hint="Add a row to people/rights.py.", id="people.E001"
        )
        for name in rights.without_right()
    ]


def make_roles(sender: Any, **kwargs: Any) -> None:
    """Make the three groups after a migrate."""
    if sender.label == "shopapp":
        staff.ensure_roles()


post_migrate.connect(make_roles, dispatch_uid="people.make_roles")

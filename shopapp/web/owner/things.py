"""What the owner keeps: for each thing its list, its form, and the services that add and change it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.db.models import Model, QuerySet
from django.utils.functional import Promise

if TYPE_CHECKING:
    from shopapp.people.models import Person
    from shopapp.shop.services.acts import Call
    from shopapp.web.owner.forms import ThingForm


Text = str | Promise


@dataclass(frozen=True)
class Asked:
    """Who asks, when, with which key: what every service takes beside its own figures."""

    by: Person
    at: datetime
    call: Call

    @property
    def std(self) -> dict[str, Any]:
        return {"by": self.by, "at": self.at, "call": self.call}


@dataclass(frozen=True)
class Thing:
    """One kind of master data as the owner's pages show it.

    `cells` gives the texts of a list row, `form` makes the form for a new row (None) or one that exists, `add` and
    `change` call the service with the cleaned data. Without `change` a row is never changed, only followed by another.
    `tool` names a page that the list leads to, and says what is done there.
    """

    slug: str
    title: Text
    one: Text
    captions: Sequence[Text]
    rows: Callable[[], QuerySet[Any]]
    cells: Callable[[Any], Sequence[str]]
    form: Callable[..., ThingForm]
    add: Callable[[ThingForm, Asked], Any]
    change: Callable[[Any, ThingForm, Asked], Any] | None = None
    gone: Callable[[Any], bool] = field(default=lambda row: False)
    note: Text = ""
    subject: str = ""
    tool: tuple[str, Text] | None = None
    more: Callable[[Model], list[tuple[str, str]]] = field(default=lambda row: [])


REGISTRY: dict[str, Thing] = {}


def register(thing: Thing) -> None:
    """Register a thing; its list and form pages follow from it."""
    REGISTRY[thing.slug] = thing

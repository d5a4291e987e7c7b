"""Two owners at one bay, tool or kind of tool: the second is told, and nothing of the first is overwritten.

Seen red: with the revision left out of each service (both are stored, the later one wins), and with `record_check`
leaving the tool's revision alone (a form from before the check is stored).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.db import models
from django.urls import reverse

from shopapp.orders import services as orders
from shopapp.orders.models import Bay
from shopapp.people.models import Person
from shopapp.shop.models import Act
from shopapp.shop.services.acts import Call, Stale
from shopapp.tools import services as tools
from shopapp.tools.models import Tool, ToolKind
from tests.conftest import NOW
from tests.faults.racing import names_of, race
from tests.tools.crib import a_check, a_tool

pytestmark = pytest.mark.django_db
AT_ONCE = 5
Change = Callable[[Any, str], Any]


def a_bay(by: Person) -> Bay:
    return orders.add_bay(name="Bay 2", by=by, at=NOW, call=Call.fresh())


def change_bay(row: Bay, words: str, by: Person) -> Bay:
    std: dict[str, Any] = {"by": by, "at": NOW, "call": Call.fresh()}
    return orders.change_bay(bay=row, revision=1, name=words, **std)


def change_kind(row: ToolKind, words: str, by: Person) -> ToolKind:
    std: dict[str, Any] = {"by": by, "at": NOW, "call": Call.fresh()}
    return tools.change_tool_kind(kind=row, revision=1, name=words, checked=True, critical=False, **std)


def change_tool(row: Tool, words: str, by: Person) -> Tool:
    std: dict[str, Any] = {"by": by, "at": NOW, "call": Call.fresh()}
    return tools.change_tool(tool=row, revision=1, narrowing=words, **std)


THINGS: dict[str, tuple[Callable[[Person], models.Model], Callable[..., Any], str]] = {
    "bays": (a_bay, change_bay, "name"),
    "tool-kinds": (lambda by: a_tool().kind, change_kind, "name"),
    "tools": (lambda by: a_tool(), change_tool, "narrowing"),
}


@pytest.mark.parametrize("slug", THINGS)
def test_the_second_page_is_refused_and_keeps_what_was_typed(
    slug: str, owner: Person, client_as: Any
) -> None:
    make, change, field = THINGS[slug]
    row, client = make(owner), client_as(owner)
    address = reverse(f"owner-{slug}-change", args=[row.pk])
    form = client.get(address).context["form"]
    sent = {one.html_name: one.value() for one in form if one.value() not in (None, False)}
    assert sent["revision"] == 1
    change(type(row)._default_manager.get(pk=row.pk), "first", owner)
    answer = client.post(address, sent | {field: "second"})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "changed by somebody else" in text and 'value="second"' in text
    row.refresh_from_db()
    assert (getattr(row, field), row.revision) == ("first", 2)  # type: ignore[attr-defined]
    fresh = client.get(address).context["form"]["revision"].value()
    assert client.post(address, sent | {field: "third", "revision": fresh}).status_code == 302
    row.refresh_from_db()
    assert getattr(row, field) == "third"


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("slug", THINGS)
def test_of_five_at_once_one_is_stored(slug: str, owner: Person) -> None:
    make, change, field = THINGS[slug]
    pk, model = (row := make(owner)).pk, type(row)
    rows = [model._default_manager.get(pk=pk) for _number in range(AT_ONCE)]
    ends = race([lambda row=row, n=n: change(row, f"words {n}", owner) for n, row in enumerate(rows)])  # type: ignore[misc]
    assert names_of(ends) == sorted([model.__name__] + ["Stale"] * (AT_ONCE - 1))
    (stored,) = [end for end in ends if not isinstance(end, Stale)]
    now = model._default_manager.get(pk=pk)
    assert (getattr(now, field), now.revision) == (getattr(stored, field), 2)  # type: ignore[attr-defined]
    assert Act.objects.filter(verb__startswith="change_").count() == 1


def test_a_check_recorded_meanwhile_is_a_change_too(owner: Person) -> None:
    tool = a_tool()
    seen = Tool.objects.get(pk=tool.pk)
    a_check(tool, owner, passed=False, on=NOW.date() - dt.timedelta(days=1))
    with pytest.raises(Stale, match="somebody else"):
        tools.change_tool(
            tool=seen, revision=seen.revision, state="repair", by=owner, at=NOW, call=Call.fresh()
        )
    assert Tool.objects.get(pk=tool.pk).state == "failed"

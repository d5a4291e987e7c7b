"""Tools and their checks: how a tool stands follows from its newest checks, and the book derives it again."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from shopapp.people.models import Person
from shopapp.shop import books
from shopapp.shop.models import Act
from shopapp.shop.services.acts import AlreadyDone, Call, Refused
from shopapp.specs.models import Step
from shopapp.tools import queries, services
from shopapp.tools.models import Check, Tool, ToolKind

from .crib import NOW, TODAY, a_check, a_tool

pytestmark = pytest.mark.django_db
DAY = dt.timedelta(days=1)


def standing(tool: Tool, on: dt.date = TODAY) -> str:
    return queries.standing(Tool.objects.select_related("kind").get(pk=tool.pk), on)


def test_every_kind_that_a_step_names_ships_with_the_program() -> None:
    """Seen red with the gauge left out."""
    named = set(Step.objects.exclude(tool_kind="").values_list("tool_kind", flat=True))
    assert named
    assert named == set(ToolKind.objects.values_list("code", flat=True))
    assert set(ToolKind.objects.filter(critical=True).values_list("code", flat=True)) == {
        "gauge", "torque wrench", "depth tool",
    }  # fmt: skip


def test_making_the_kinds_again_keeps_what_the_owner_changed(owner: Person) -> None:
    """Seen red with the kinds made anew."""
    kind = ToolKind.objects.get(code="regulator")
    services.change_tool_kind(
        revision=1,
        kind=kind,
        name="Regulator, 10 bar",
        checked=False,
        critical=False,
        by=owner,
        at=NOW,
        call=Call.fresh(),
    )
    services.ensure_kinds()
    assert ToolKind.objects.get(code="regulator").name == "Regulator, 10 bar"
    assert ToolKind.objects.count() == 6


def test_a_new_tool_is_unchecked_then_good_then_overdue(owner: Person) -> None:
    """Seen red with the last good day taken for overdue."""
    tool = a_tool()
    assert standing(tool) == "unchecked"
    a_check(tool, owner, until=TODAY + 90 * DAY)
    assert standing(tool) == "good"
    assert standing(tool, TODAY + 90 * DAY) == "good"
    assert standing(tool, TODAY + 91 * DAY) == "overdue"


def test_a_kind_without_checks_is_good(owner: Person) -> None:
    """Seen red with a date asked of every kind."""
    assert standing(a_tool("P-1", "ifp puller")) == "good"


def test_a_failed_check_fails_the_tool_until_it_passes_one(owner: Person) -> None:
    """Seen red without the refusal, and with no state kept from the check."""
    tool = a_tool()
    a_check(tool, owner, on=TODAY - 9 * DAY, until=TODAY + 90 * DAY)
    a_check(tool, owner, on=TODAY - DAY, passed=False)
    assert standing(tool) == "failed"
    with pytest.raises(Refused, match="last check failed"):
        services.change_tool(
            tool=tool, revision=tool.revision, state="good", by=owner, at=NOW, call=Call.fresh()
        )
    a_check(tool, owner, on=TODAY, until=TODAY + 30 * DAY)
    assert standing(tool) == "good"


def test_an_older_check_entered_late_changes_nothing(owner: Person) -> None:
    """Seen red with checks in the order in which they were entered."""
    tool = a_tool()
    a_check(tool, owner, on=TODAY - DAY, passed=False)
    a_check(tool, owner, on=TODAY - 9 * DAY, until=TODAY + 900 * DAY)
    assert standing(tool) == "failed"
    assert Check.objects.count() == 2


def test_calibration_and_inspection_hold_together(owner: Person) -> None:
    """Seen red with the later date, and with the newest check of any kind."""
    tool = a_tool()
    a_check(tool, owner, until=TODAY + 90 * DAY)
    a_check(tool, owner, kind="inspection", until=TODAY + 30 * DAY)
    tool.refresh_from_db()
    assert tool.checked_until == TODAY + 30 * DAY
    a_check(tool, owner, kind="inspection", passed=False)
    a_check(tool, owner, until=TODAY + 365 * DAY)
    assert standing(tool) == "failed", "a passed calibration does not lift a failed inspection"


def test_a_tool_in_repair_is_not_used_and_a_check_brings_it_back(owner: Person) -> None:
    """Seen red with repair taken for good, and with a retired tool checked."""
    tool = a_tool()
    a_check(tool, owner)
    services.change_tool(
        tool=tool, revision=tool.revision, state="repair", by=owner, at=NOW, call=Call.fresh()
    )
    assert standing(tool) == "failed"
    a_check(tool, owner)
    assert standing(tool) == "good"
    services.change_tool(
        tool=tool, revision=tool.revision, state="retired", by=owner, at=NOW, call=Call.fresh()
    )
    with pytest.raises(Refused, match="retired"):
        a_check(tool, owner)


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"on": TODAY + DAY}, "on"),
        ({"until": None}, "until"),
        ({"until": TODAY}, "until"),
        ({"kind": "glance"}, "kind"),
        ({"operations": -1}, "operations"),
        ({"operations": 10**30}, "operations"),
    ],
)
def test_a_check_that_cannot_be_is_refused(owner: Person, more: dict[str, Any], field: str) -> None:
    """Seen red without the refusals, with a day good until itself, and without the bounds of the count."""
    tool = a_tool()
    with pytest.raises(Refused) as no:
        a_check(tool, owner, **more)
    assert no.value.field == field
    assert standing(tool) == "unchecked"
    assert not Check.objects.exists()


def test_a_check_twice_with_one_key_is_one_and_is_never_changed(owner: Person) -> None:
    """Seen red with a fresh key, and with the table left out of the ledgers."""
    tool, call = a_tool(), Call.once("check-1")
    check = a_check(tool, owner, call=call, readings=[" set 30, reads 30.4 ", ""])
    with pytest.raises(AlreadyDone):
        a_check(tool, owner, call=call, readings=[" set 30, reads 30.4 ", ""])
    assert (Check.objects.get().readings, check.act.result["tool"]) == (["set 30, reads 30.4"], tool.pk)
    with pytest.raises(DatabaseError), transaction.atomic():
        Check.objects.update(passed=False)


@pytest.mark.parametrize("tag", ["", " ", "G/04", "G 04", "-04", "G" * 21, "<b>", "é" * 25])
def test_a_tag_that_cannot_stand_in_an_address_is_refused(tag: str) -> None:
    """Seen red with the beginning alone looked at, and with anything but nothing let through."""
    with pytest.raises(Refused) as no:
        a_tool(tag)
    assert no.value.field == "tag"


def test_a_tag_and_a_kind_are_there_once(owner: Person) -> None:
    """Seen red with letters' case told apart, and with a critical kind that has no check."""
    a_tool("G-04")
    with pytest.raises(Refused, match="already"):
        a_tool("g-04")
    with pytest.raises(Refused, match="already"):
        services.add_tool_kind(code="gauge", name="Gauge", by=owner, at=NOW, call=Call.fresh())
    kind = services.add_tool_kind(
        code="dial", name="Dial", critical=True, by=owner, at=NOW, call=Call.fresh()
    )
    assert kind.checked, "a critical kind has a check date"
    assert Act.objects.get(verb="add_tool_kind").result == {"tool_kind": kind.pk}


@pytest.mark.parametrize(
    ("code", "name", "field", "words"),
    [
        (" ", "Dial", "code", "Give the kind a short name, as steps name it."),
        ("dial", "  ", "name", "Give the kind a name."),
    ],
)
def test_a_kind_has_a_short_name_and_a_name(
    owner: Person, code: str, name: str, field: str, words: str
) -> None:
    """Seen red without each refusal."""
    with pytest.raises(Refused) as no:
        services.add_tool_kind(code=code, name=name, by=owner, at=NOW, call=Call.fresh())
    assert (no.value.field, no.value.sentence) == (field, words)
    assert ToolKind.objects.count() == 6


def test_a_kind_keeps_a_name(owner: Person) -> None:
    """Seen red with any name taken."""
    kind = ToolKind.objects.get(code="gauge")
    with pytest.raises(Refused, match="Give the kind a name") as no:
        services.change_tool_kind(
            kind=kind, revision=1, name=" ", checked=True, critical=True, by=owner, at=NOW, call=Call.fresh()
        )
    assert no.value.field == "name"
    kind.refresh_from_db()
    assert kind.name and kind.revision == 1


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ("lent", "A tool is in use, in repair or retired."),
        ("failed", "A tool fails by a check. Record the check that it failed."),
    ],
)
def test_a_tool_takes_no_other_state_by_hand(owner: Person, state: str, words: str) -> None:
    """Seen red without each refusal."""
    tool = a_tool()
    a_check(tool, owner)
    tool.refresh_from_db()
    with pytest.raises(Refused) as no:
        services.change_tool(
            tool=tool, revision=tool.revision, state=state, by=owner, at=NOW, call=Call.fresh()
        )
    assert (no.value.field, no.value.sentence, standing(tool)) == ("state", words, "good")


def test_the_book_agrees_after_honest_work_and_finds_planted_faults(owner: Person) -> None:
    """Seen red with the date not compared."""
    good, failed = a_tool(), a_tool("G-05")
    a_check(good, owner, until=TODAY + 90 * DAY)
    a_check(failed, owner, passed=False)
    found = lambda: [str(line) for line in books.REGISTRY["tools"]()]  # noqa: E731
    assert found() == []
    Tool.objects.filter(pk=good.pk).update(checked_until=TODAY + 900 * DAY)
    Tool.objects.filter(pk=failed.pk).update(state="good")
    assert found() == [
        f"tools: G-04 checked until: stored {TODAY + 900 * DAY!r}, derived {TODAY + 90 * DAY!r}",
        "tools: G-05 state: stored 'good', derived 'failed'",
    ]

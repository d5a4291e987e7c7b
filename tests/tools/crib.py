"""Tools in the crib and their checks."""

from __future__ import annotations

import datetime as dt
from typing import Any

from shopapp.people.models import Person
from shopapp.shop.services.acts import Call
from shopapp.tools import services
from shopapp.tools.models import Check, Tool, ToolKind

NOW = dt.datetime(2026, 3, 2, 9, 0, tzinfo=dt.UTC)
TODAY = NOW.date()


def a_tool(tag: str = "G-04", kind: str = "gauge", narrowing: str = "") -> Tool:
    """Add a tool of a shipped kind."""
    return services.add_tool(
        kind=ToolKind.objects.get(code=kind), tag=tag, narrowing=narrowing, by=None, at=NOW, call=Call.fresh()
    )


def a_check(tool: Tool, by: Person, **more: Any) -> Check:
    """Record a calibration that passed today, good for ninety days, unless said otherwise."""
    given: dict[str, Any] = {
        "kind": "calibration", "on": TODAY, "until": TODAY + dt.timedelta(days=90), "passed": True,
        "call": Call.fresh(), **more,
    }  # fmt: skip
    return services.record_check(tool=tool, by=by, at=NOW, **given)

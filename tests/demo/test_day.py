"""The demo stands at the day of its own place, not at UTC's."""

from __future__ import annotations

import datetime as dt
import io
from typing import Any

import pytest
import time_machine
from django.core.management import call_command


@pytest.mark.parametrize(
    ("moment", "day"),
    [("2026-11-26T02:00:00Z", dt.date(2026, 11, 25)), ("2026-11-26T06:00:00Z", dt.date(2026, 11, 26))],
)
def test_the_day_is_the_shops(monkeypatch: pytest.MonkeyPatch, moment: str, day: dt.date) -> None:
    """Seen to fail with the day of UTC."""
    asked: dict[str, Any] = {}
    monkeypatch.setattr(
        "shopapp.management.commands.load_demo.load", lambda **given: asked.update(given) or {"people": 6}
    )
    with time_machine.travel(moment, tick=False):
        call_command("load_demo", stdout=io.StringIO())
    assert asked["today"] == day

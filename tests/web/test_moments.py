"""Days as people write them at a counter."""

from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.core.exceptions import ValidationError

from shopapp.web.forms.moments import ComingDayField, DayField

TODAY = dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-11-27", dt.date(2026, 11, 27)),
        ("27.11.2026", dt.date(2026, 11, 27)),
        ("27 Nov 2026", dt.date(2026, 11, 27)),
        ("Fri 27 Nov 2026", dt.date(2026, 11, 27)),
        ("27 nov", dt.date(2026, 11, 27)),
        ("25 November", dt.date(2026, 11, 25)),
        ("24 Nov", dt.date(2027, 11, 24)),
        ("29 Feb", dt.date(2028, 2, 29)),
    ],
)
def test_a_day_to_come_may_be_written_without_its_year(text: str, day: dt.date) -> None:
    with time_machine.travel(TODAY, tick=False):
        assert ComingDayField().clean(text) == day


@pytest.mark.parametrize("text", ["30 Feb", "soon", "27 Nov " + "9" * 400, "27\0Nov", "٢٧ نوفمبر", "31 Jun"])
def test_what_is_no_day_is_said(text: str) -> None:
    with time_machine.travel(TODAY, tick=False), pytest.raises(ValidationError, match="This is no day"):
        ComingDayField().clean(text)


def test_a_weekday_that_is_not_that_days_is_refused() -> None:
    """Seen to fail before: the weekday was read over, and the customer came on another day than was meant."""
    with pytest.raises(ValidationError, match="This day is a Friday"):
        DayField().clean("Sat 27 Nov 2026")


def test_a_day_that_is_past_needs_its_year() -> None:
    with pytest.raises(ValidationError, match="This is no day"):
        DayField().clean("24 Nov")

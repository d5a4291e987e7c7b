"""A promised day and hour as people write them, in the shop's zone."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

DAYS = ["%Y-%m-%d", "%d.%m.%Y", "%d %b %Y", "%d %B %Y", "%a %d %b %Y"]
HOURS = ["%H:%M", "%H.%M", "%H"]
CLOSING = dt.time(17, 0)
FURTHEST = dt.timedelta(days=3 * 366)


class DayField(forms.DateField):
    """A day: 2026-11-27, 27.11.2026 or 27 Nov 2026."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("input_formats", DAYS)
        kwargs.setdefault("widget", forms.DateInput(format="%Y-%m-%d", attrs={"autocomplete": "off"}))
        super().__init__(**kwargs)
        self.error_messages["invalid"] = _lazy("This is no day. Write it like 2026-11-27 or 27 Nov 2026.")


class HourField(forms.TimeField):
    """An hour of the day: 17:00 or 17."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("input_formats", HOURS)
        kwargs.setdefault("widget", forms.TimeInput(format="%H:%M", attrs={"autocomplete": "off"}))
        super().__init__(**kwargs)
        self.error_messages["invalid"] = _lazy("This is no hour. Write it like 17:00.")


def promised(
    day: dt.date | None, hour: dt.time | None, *, now: dt.datetime, before: dt.datetime | None = None
) -> dt.datetime | None:
    """Give the promised moment in the shop's zone; without an hour it is 17:00.

    `ValidationError` with a sentence for a moment that is past (unless it is `before`, what was promised already) or
    more than three years away.
    """
    if day is None:
        if hour is not None:
            raise forms.ValidationError(_("Say on which day, too."))
        return None
    today = timezone.localdate(now)
    if abs(day - today) > FURTHEST:
        raise forms.ValidationError(_("This day is years away. Look at its year."))
    moment = timezone.make_aware(dt.datetime.combine(day, hour or CLOSING))
    if moment < now and moment != before:
        raise forms.ValidationError(_("This moment is past already. Promise a later one."))
    return moment

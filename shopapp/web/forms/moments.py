"""A promised day and hour as people write them, in the shop's zone."""

from __future__ import annotations

import contextlib
import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

DAYS = ["%Y-%m-%d", "%d.%m.%Y", "%d %b %Y", "%d %B %Y", "%a %d %b %Y"]
DAYS_OF_A_YEAR = ["%d %b", "%d %B"]
HOURS = ["%H:%M", "%H.%M", "%H"]
CLOSING = dt.time(17, 0)
FURTHEST = dt.timedelta(days=3 * 366)


class DayField(forms.DateField):
    """A day: 2026-11-27, 27.11.2026, 27 Nov 2026 or Fri 27 Nov 2026; a weekday that is not that day's is refused."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("input_formats", DAYS)
        kwargs.setdefault("widget", forms.DateInput(format="%Y-%m-%d", attrs={"autocomplete": "off"}))
        super().__init__(**kwargs)
        self.error_messages["invalid"] = _lazy("This is no day. Write it like 2026-11-27 or 27 Nov 2026.")

    def to_python(self, value: Any) -> dt.date | None:
        day = super().to_python(value)
        said = str(value).strip()[:3].casefold()
        if day is not None and said.isalpha() and said != f"{day:%a}".casefold():
            raise forms.ValidationError(
                _("This day is a %(weekday)s. Look at the date once more.")
                % {"weekday": date_format(day, "l")}
            )
        return day


class ComingDayField(DayField):
    """A day that is still to come; without its year (27 Nov) it is the next one, as people say it at a counter."""

    def to_python(self, value: Any) -> dt.date | None:
        day = _next(str(value).strip(), timezone.localdate())
        return day if day is not None else super().to_python(value)


def _next(text: str, today: dt.date) -> dt.date | None:
    """Give the next day that is written without its year, today among them; None where the text is no such day.

    The year is put before parsing: the 29th of February is looked for in the years in which there is one.
    """
    for year in range(today.year, today.year + 9) if len(text) <= 24 else ():
        for form in DAYS_OF_A_YEAR:
            with contextlib.suppress(ValueError):
                day = dt.datetime.strptime(f"{year} {text}", f"%Y {form}").date()
                if day >= today:
                    return day
    return None


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

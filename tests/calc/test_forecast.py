"""When service is due, against the reference cases and the rules."""

import calendar
import math
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopapp.calc.forecast import Due, Interval, next_due
from shopapp.calc.meters import cumulative, rate_per_day
from shopapp.calc.units import convert
from tests.calc.cases import check_case, check_complete, load, run_ids

seeded = settings(print_blob=True, derandomize=False, deadline=None, max_examples=300)


def _metres(miles):
    return None if miles is None else convert(miles, "mile", "m")


def _seconds(hours):
    return None if hours is None else convert(hours, "h", "s")


def _due(case):
    inputs = case["inputs"]
    serviced_on, miles_then, hours_then = inputs["last_service"]
    latest_on, miles, hours = inputs["latest_reading"]
    limits = {
        "distance_m": _metres(inputs["interval_distance"][0]),
        "running_s": _seconds(inputs["interval_hours"][0]),
        "months": inputs["interval_months"],
    }

    def due(**own):
        return next_due(
            serviced_on=date.fromisoformat(serviced_on),
            distance_m_at_service=_metres(miles_then),
            running_s_at_service=_seconds(hours_then),
            latest_on=date.fromisoformat(latest_on),
            distance_m=_metres(miles),
            running_s=_seconds(hours),
            distance_per_day=_metres(inputs["rate_per_day"][0]),
            running_per_day=_seconds(inputs["rate_hours_per_day"][0]),
            interval=Interval(**own, severity=inputs["severity"]),
        )

    whole = due(**limits)
    computed = {
        "due_date": whole.on.isoformat(),
        "limiting": whole.because,
        "overdue_at_latest_reading": whole.overdue,
    }
    for key, name in (("distance", "distance_m"), ("hours", "running_s"), ("months", "months")):
        alone = due(**{name: limits[name]}) if limits[name] is not None else Due(None, None, False)
        computed[f"date_by_{key}"] = alone.on and alone.on.isoformat()
        if f"date_by_{key}" not in case["expected"]:
            assert computed.pop(f"date_by_{key}") is None
    return computed


def _rate(case):
    readings = [(date.fromisoformat(day), value) for day, value in case["inputs"]["readings"][0]]
    per_day = rate_per_day(readings)
    return {"theil_sen_per_day": per_day, "per_year_theil_sen": per_day * 365.25}


def _rate_of_points(case):
    points = zip(case["inputs"]["x"], case["inputs"]["y"], strict=True)
    return {"theil_sen": rate_per_day([(date(2026, 1, 1) + timedelta(x), y) for x, y in points])}


def _running_total(case):
    events = [(kind, date.fromisoformat(day), *values) for kind, day, *values in case["inputs"]["events"]]
    found = cumulative(events, modulus=case["inputs"]["modulus"])
    return {"cumulative": list(found.values), "flagged_indexes": list(found.flagged)}


RUNNERS = {
    r"D-D\d\d": _due, r"D-R0[1-4]": _rate, "D-R05": _rate_of_points, r"D-M\d\d": _running_total,
}  # fmt: skip
BACKGROUND: dict[str, str] = {}
UNANSWERED = frozenset(
    {"due_reading", "due_hours", "days_by_distance", "days_by_hours"}
    | {"intercept_separate", "intercept_joint", "slope_low_95", "slope_high_95", "r_squared"}
    | {"least_squares_per_day", "least_squares_intercept", "least_squares"}
)


@pytest.mark.parametrize("case_id", run_ids("forecast", RUNNERS))
def test_case(case_id):
    check_case(load("forecast")[case_id], RUNNERS, UNANSWERED)


def test_every_case_is_run_or_listed():
    check_complete("forecast", RUNNERS, BACKGROUND)


LATEST = date(2026, 3, 2)


def due(**changes):
    figures = {
        "serviced_on": date(2026, 1, 31),
        "distance_m_at_service": 1000.0,
        "running_s_at_service": 3600.0,
        "latest_on": LATEST,
        "distance_m": 1500.0,
        "running_s": 7200.0,
        "distance_per_day": 10.0,
        "running_per_day": 360.0,
        "interval": Interval(distance_m=1000.0),
    }
    return next_due(**(figures | changes))


def test_counts_from_the_latest_reading_and_floors():
    assert due() == Due(LATEST + timedelta(50), "distance", overdue=False)
    assert due(distance_per_day=10.1) == Due(LATEST + timedelta(49), "distance", overdue=False)
    assert due(interval=Interval(running_s=36000.0)).on == LATEST + timedelta(90)


def test_a_millionth_of_a_day_is_forgiven():
    assert due(distance_m=1500 + 9e-6).on == LATEST + timedelta(50)
    assert due(distance_m=1500 + 2e-5).on == LATEST + timedelta(49)


def test_a_limit_reached_today_is_due_and_not_overdue():
    assert due(distance_m=2000.0) == Due(LATEST, "distance", overdue=False)
    assert due(distance_m=2000.0, distance_per_day=None) == Due(LATEST, "distance", overdue=False)


def test_a_limit_passed_is_overdue():
    assert due(distance_m=2001.0) == Due(LATEST - timedelta(1), "distance", overdue=True)
    assert due(distance_m=2100.0) == Due(LATEST - timedelta(10), "distance", overdue=True)


@pytest.mark.parametrize("rate", [None, 0.0, -5.0])
def test_without_a_rate_only_a_limit_passed_gives_a_date(rate):
    assert due(distance_per_day=rate) == Due(None, None, overdue=False)
    assert due(distance_per_day=rate, distance_m=2001.0) == Due(LATEST, "distance", overdue=True)


def test_severity_shortens_use_and_not_the_calendar():
    assert due(interval=Interval(distance_m=1000.0, severity=0.667)).on == LATEST + timedelta(16)
    assert due(interval=Interval(months=1, severity=0.5)).on == date(2026, 2, 28)


def test_months_clamp_to_the_end_of_the_month():
    assert due(serviced_on=date(2024, 1, 31), interval=Interval(months=1)).on == date(2024, 2, 29)
    assert due(serviced_on=date(2024, 2, 29), interval=Interval(months=12)).on == date(2025, 2, 28)
    assert due(serviced_on=date(2025, 10, 31), interval=Interval(months=8)).on == date(2026, 6, 30)
    assert due(serviced_on=date(2025, 12, 15), interval=Interval(months=1)).on == date(2026, 1, 15)


def test_the_earliest_limit_wins():
    interval = Interval(distance_m=1000.0, running_s=36000.0, months=12)
    assert due(interval=interval).because == "distance"
    assert due(interval=interval, running_per_day=3600.0) == Due(
        LATEST + timedelta(9), "hours", overdue=False
    )
    assert due(interval=Interval(distance_m=1000.0, months=2)).because == "months"


def test_of_two_on_one_day_the_overdue_one_is_named():
    interval = Interval(distance_m=1000.0, running_s=1800.0)
    found = due(interval=interval, distance_m=2000.0, running_per_day=None)
    assert found == Due(LATEST, "hours", overdue=True)


def test_what_is_not_known_is_left_out():
    assert due(distance_m=None) == Due(None, None, overdue=False)
    assert due(distance_m_at_service=None, interval=Interval(distance_m=1.0, months=6)).because == "months"
    assert due(interval=Interval()) == Due(None, None, overdue=False)


def test_past_the_end_of_the_calendar_there_is_no_date():
    assert due(distance_per_day=1e-9).on is None
    assert due(distance_per_day=5e-324).on is None
    late = {"serviced_on": date(9999, 6, 1), "latest_on": date(9999, 12, 31)}
    assert due(**late, interval=Interval(months=12)).on is None
    assert due(**late).on is None
    early = {"serviced_on": date(1, 1, 1), "latest_on": date(1, 1, 2)}
    assert due(**early, distance_m=1e9) == Due(date(1, 1, 1), "distance", overdue=True)


totals = st.floats(0, 1e6)


@seeded
@given(totals, totals, st.floats(0.01, 1e4), st.floats(1, 1e7), st.integers(1, 60), st.floats(0.1, 2))
def test_the_date_is_the_floor_of_the_days_left(at_service, used, per_day, limit, months, severity):
    interval = Interval(distance_m=limit, months=months, severity=severity)
    found = due(
        distance_m_at_service=at_service,
        distance_m=at_service + used,
        distance_per_day=per_day,
        interval=interval,
    )
    by_months = due(interval=Interval(months=months)).on
    year, month = divmod(2026 * 12 + months, 12)
    assert by_months == date(year, month + 1, min(31, calendar.monthrange(year, month + 1)[1]))
    days = max((limit * severity - (at_service + used - at_service)) / per_day, (date.min - LATEST).days)
    assert found.on <= by_months
    assert found.overdue == (found.on < LATEST)
    if found.because == "distance":
        assert math.floor(days) <= (found.on - LATEST).days <= math.floor(days + 2e-6)
    else:
        assert (by_months - LATEST).days <= days + 1


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"latest_on": date(2026, 1, 30)}, "before the service"),
        ({"latest_on": datetime(2026, 3, 2)}, "without a time"),
        ({"serviced_on": "2026-01-31"}, "without a time"),
        ({"distance_m": 999.0}, "fallen since the service"),
        ({"distance_m": math.nan}, "ordinary number"),
        ({"distance_m_at_service": -1.0}, "below zero"),
        ({"distance_per_day": math.nan}, "ordinary number"),
        ({"distance_per_day": math.inf}, "ordinary number"),
    ],
)
def test_what_cannot_be_is_refused(changes, reason):
    with pytest.raises(ValueError, match=reason):
        due(**changes)


@pytest.mark.parametrize(
    "limits",
    [
        {"distance_m": 0.0}, {"distance_m": math.nan}, {"running_s": -1.0}, {"months": 0}, {"months": 6.0},
        {"months": True}, {"months": 5000}, {"severity": 0.0}, {"severity": math.inf},
    ],
)  # fmt: skip
def test_an_interval_of_nothing_is_refused(limits):
    with pytest.raises(ValueError, match=r"^The .*\.$"):
        Interval(**limits)

"""Conversion and printing, held against pint and against arithmetic."""

import math
import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopapp.calc import units

seeded = settings(print_blob=True, derandomize=False, deadline=None, max_examples=300)
registry = pint.UnitRegistry()

PINT_NAMES = {
    "lbf*ft": "force_pound*foot", "lbf*in": "force_pound*inch", "kgf/cm2": "force_kilogram/cm**2",
    "lbf/in": "force_pound/inch", "kgf*m": "force_kilogram*m", "kgf*cm": "force_kilogram*cm",
    "kgf/mm": "force_kilogram/mm", "kgf": "force_kilogram", "lbf": "force_pound",
    "in3": "inch**3", "m3": "m**3",
    "mm2/s": "mm**2/s", "m2/s": "m**2/s", "US fl oz": "fluid_ounce",
    "US pint": "US_pint", "US qt": "US_liquid_quart",
    "US gal": "US_liquid_gallon", "imp fl oz": "imperial_fluid_ounce", "imp pint": "imperial_pint",
    "imp qt": "imperial_quart", "imp gal": "imperial_gallon", "h": "hour", "min": "minute",
    "km/h": "km/hour",
}  # fmt: skip


def in_pint(value: float, source: str, target: str) -> float:
    quantity = registry.Quantity(value, PINT_NAMES.get(source, source))
    return float(quantity.to(PINT_NAMES.get(target, target)).magnitude)


PAIRS = [
    (source, target)
    for kind, names in units.UNITS_BY_KIND.items()
    if kind != "count"
    for source in names
    for target in names
]


@pytest.mark.parametrize(
    ("source", "target"), [*PAIRS, ("mph", "km/h"), ("kgf/cm2", "psi"), ("in3", "US fl oz")]
)
def test_agrees_with_pint(source, target):
    for value in (1, 0.37, 293.15, 1234.5):
        expected = in_pint(value, source, target)
        assert units.convert(value, source, target) == pytest.approx(expected, rel=1e-12, abs=2e-12)


@seeded
@given(st.sampled_from(PAIRS), st.floats(min_value=1e-3, max_value=1e6))
def test_agrees_with_pint_for_any_figure(pair, value):
    assert units.convert(value, *pair) == pytest.approx(in_pint(value, *pair), rel=1e-12, abs=1e-12)


@seeded
@given(st.sampled_from(PAIRS), st.floats(min_value=1e-6, max_value=1e9))
def test_there_and_back_is_where_it_was(pair, value):
    source, target = pair
    back = units.convert(units.convert(value, source, target), target, source)
    assert back == pytest.approx(value, rel=1e-13, abs=1e-12 * 500)


@seeded
@given(st.floats(min_value=-1e6, max_value=1e6))
def test_a_difference_of_temperatures_has_no_offset(value):
    expected = registry.Quantity(value, "delta_degF").to("kelvin").magnitude
    assert units.convert_difference(value, "degF", "degC") == pytest.approx(expected, rel=1e-12, abs=1e-12)
    assert units.convert_difference(value, "degF", "K") == units.convert_difference(value, "degF", "degC")


@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -math.inf, Decimal("NaN"), Decimal("Infinity"), "5", None, True]
)
def test_what_is_no_number_is_refused(value):
    for call in (units.convert, units.convert_difference):
        with pytest.raises(units.UnitError, match="number"):
            call(value, "mm", "in")
    with pytest.raises(units.UnitError, match="number"):
        units.as_fraction(value)
    with pytest.raises(units.UnitError, match="number"):
        units.fmt(value, "mm", "length")


@pytest.mark.parametrize(
    ("value", "source", "target", "reason"),
    [
        (1, "mm", "psi", "same thing"),
        (1, "lb", "N", "same thing"),
        (1, "click", "turn", "same thing"),
        (1, "furlong", "mm", "not a unit"),
        (1, "degC/m", "K/m", "not a unit"),
        (1, "", "mm", "which unit"),
        (1, "m" * 100, "mm", "too long"),
        (1, "pint", "mL", "US pint"),
        (-500, "degF", "K", "absolute zero"),
        (-273.15, "degC", "degF", "absolute zero"),
        (10**400, "km", "mm", "too large"),
        (1.7e308, "km", "mm", "too large"),
        (5e-324, "mm", "km", "too small"),
    ],
)
def test_what_cannot_be_converted_is_refused(value, source, target, reason):
    with pytest.raises(units.UnitError, match=reason):
        units.convert(value, source, target)


@pytest.mark.parametrize(
    ("inches", "denominator", "text"),
    [
        (2.1875, 16, "2 3/16"),
        (0, 16, "0"),
        (2, 16, "2"),
        (-0.0625, 16, "-1/16"),
        (-2.1875, 16, "-2 3/16"),
        (-0.001, 16, "0"),
        (0.03125, 16, "1/16"),
        (0.03125 - 1e-14, 16, "1/16"),
        (0.03124, 16, "0"),
        (-0.03125, 16, "-1/16"),
        (0.1 + 0.2, 10, "3/10"),
        (1.99999, 16, "2"),
        (Decimal("0.875"), 8, "7/8"),
        (0.5, 1, "1"),
    ],
)
def test_tape_fractions(inches, denominator, text):
    assert units.as_fraction(inches, denominator) == text


@pytest.mark.parametrize("denominator", [0, -16, 2000, 16.0, True, None])
def test_a_tape_is_divided_into_whole_parts(denominator):
    with pytest.raises(units.UnitError, match="tape"):
        units.as_fraction(1.5, denominator)


@seeded
@given(st.fractions(min_value=-1000, max_value=1000, max_denominator=10**6), st.integers(1, 128))
def test_a_tape_fraction_is_the_nearest_in_lowest_terms(inches, denominator):
    text = units.as_fraction(inches, denominator)
    match = re.fullmatch(r"(-?)(?:(\d+)(?: |$))?(?:(\d+)/(\d+))?", text)
    assert match and text
    whole, numerator, below = int(match[2] or 0), int(match[3] or 0), int(match[4] or 1)
    size = whole + Fraction(numerator, below)
    value = -size if match[1] else size
    assert Fraction(numerator, below).denominator == below and denominator % below == 0
    assert abs(value - inches) <= Fraction(1, 2 * denominator) + Fraction(1, 10**8)
    if abs(value - inches) == Fraction(1, 2 * denominator):
        assert abs(value) > abs(inches)


@pytest.mark.parametrize(
    ("si", "unit", "kind", "more", "text"),
    [
        (965266.021, "psi", "pressure", {}, "140.0 psi"),
        (965266.021, "bar", "pressure", {}, "9.65 bar"),
        (0.0555625, "in", "length", {}, "2.188 in"),
        (0.0555625, "in", "length", {"denominator": 16}, '2 3/16"'),
        (-0.0555625, "in", "length", {"denominator": 16}, '−2 3/16"'),
        (0.0555625, "in", "length", {"denominator": 16, "with_unit": False}, "2 3/16"),
        (0.0127, "mm", "length", {}, "12.70 mm"),
        (0.0127, "mm", "length", {"decimal_comma": True}, "12,70 mm"),
        (0.0000004, "mm", "length", {}, "0.0004 mm"),
        (1e-18, "mm", "length", {}, "0.00000 mm"),
        (0.0, "mm", "length", {}, "0.00 mm"),
        (-0.0, "mm", "length", {}, "0.00 mm"),
        (-1e-9, "mm", "length", {"places": 2}, "0.00 mm"),
        (253.15, "degC", "temperature", {}, "−20.0 °C"),
        (273.15, "degC", "temperature", {}, "0.0 °C"),
        (20, "degF", "temperature", {"difference": True}, "36.0 °F"),
        (-20, "degC", "temperature", {"difference": True}, "−20.0 °C"),
        (0.00015, "mm", "length", {"places": 1}, "0.2 mm"),
        (0.0025, "m", "length", {"places": 3}, "0.003 m"),
        (43.38617434660481, "ft-lb", "torque", {}, "32.0 ft-lb"),
        (45, "degree", "angle", {}, "45.0°"),
        (12, "1", "count", {}, "12"),
        (12, "click", "count", {}, "12 clicks"),
        (1, "click", "count", {}, "1 click"),
        (-1, "click", "count", {}, "−1 click"),
        (0, "click", "count", {}, "0 clicks"),
        (1, "turn", "count", {"places": 0}, "1 turn"),
        (1, "turn", "count", {}, "1.00 turns"),
        (1, "click", "count", {"with_unit": False}, "1"),
        (2414016, "mi", "distance", {}, "1500 mi"),
        (1e30, "m", "length", {}, "1000000000000000000000000000000 m"),
    ],
)
def test_prints(si, unit, kind, more, text):
    assert units.fmt(si, unit, kind, **more) == text


@pytest.mark.parametrize(
    ("figure", "label", "text"),
    [
        ("1", "clicks", "click"), ("-1", "clicks", "click"), ("−1", "turns", "turn"), ("0", "clicks", "clicks"),
        ("2", "clicks", "clicks"), ("11", "clicks", "clicks"), ("1/4", "turns", "turn"), ("4/4", "turns", "turn"),
        ("5/4", "turns", "turns"), ("1 1/4", "turns", "turns"), ("1.00", "turns", "turns"), ("", "turns", "turns"),
        ("1", "mm", "mm"), ("1/4", "in", "in"), ("a/b", "turns", "turns"), ("1/", "turns", "turns"),
    ],
)  # fmt: skip
def test_one_of_what_is_counted(figure, label, text):
    """Seen red with the label as it is, and with every fraction taken for a part of one."""
    assert units.label_after(figure, label) == text


@pytest.mark.parametrize(
    ("unit", "kind", "more", "reason"),
    [
        ("psi", "length", {}, "not a unit of length"),
        ("mm", "length", {"denominator": 16}, "inches only"),
        ("mm", "length", {"places": -1}, "decimals"),
        ("mm", "length", {"places": 99}, "decimals"),
        ("mm", "speed", {}, "not a kind"),
    ],
)
def test_what_cannot_be_printed_is_refused(unit, kind, more, reason):
    with pytest.raises(units.UnitError, match=reason):
        units.fmt(1.0, unit, kind, **more)


@seeded
@given(st.integers(-(10**9), 10**9), st.integers(0, 4))
def test_prints_half_up(thousandths, places):
    exact = Decimal(thousandths).scaleb(-5)
    expected = exact.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    printed = units.fmt(float(exact), "N", "force", places=places, with_unit=False)
    assert Decimal(printed.replace("−", "-")) == expected

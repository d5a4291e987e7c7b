"""Units against the reference cases."""

import json
from fractions import Fraction

import pytest

from shopapp.calc import units
from tests.calc.cases import check_case, check_complete, load, run_ids


def _factor(case):
    value, unit = case["inputs"]["value"]
    return {"value": units.convert(value, unit, case["inputs"]["to"]), "unit": case["inputs"]["to"]}


def _temperature(case):
    value, unit = case["inputs"]["value"]
    return {to: units.convert(value, unit, to) for to in ("degC", "K")}


def _difference(case):
    value, unit = case["inputs"]["delta"]
    return {"K": units.convert_difference(value, unit, "K")}


def _round_trip(case):
    value, unit = case["inputs"]["value"]
    return {"value": units.convert(units.convert(value, unit, "kPa"), "kPa", unit), "unit": unit}


def _length(case):
    inputs = case["inputs"]
    try:
        measured = units.parse(inputs["text"], "length", inputs.get("default_unit"))
    except units.UnitError as error:
        assert str(error).endswith(".")
        return {"mm": None, "error": True}
    return {"mm": measured.to("mm"), "error": False}


def _tape(case):
    value, unit = case["inputs"]["value"]
    denominator = case["inputs"]["denominator"]
    text = units.fmt(units.convert(value, unit, "m"), "in", "length", denominator=denominator)
    assert text == units.as_fraction(units.convert(value, unit, "in"), denominator) + '"'
    inches = Fraction(units.parse(text, "length").to("in")).limit_denominator(denominator)
    return {
        "text": text,
        "numerator": inches.numerator,
        "denominator": inches.denominator,
        "error_mm": units.parse(text, "length").to("mm") - value,
    }


def _preload(case):
    first, second = (units.parse(case["inputs"][name], "length") for name in ("a", "b"))
    change = first.si - second.si
    return {
        "difference_mm": units.convert(change, "m", "mm"),
        "difference_in": units.convert(change, "m", "in"),
        "text": units.fmt(change, "in", "length", denominator=16),
    }


RUNNERS = {
    r"U-[FPMC]\d\d": _factor,
    r"U-T0[123]": _temperature,
    r"U-T04": _difference,
    r"U-R01": _round_trip,
    r"U-[LX]\d\d": _length,
    r"U-Q\d\d": _tape,
    r"U-PL1": _preload,
}
BACKGROUND: dict[str, str] = {}


@pytest.mark.parametrize("case_id", run_ids("units", RUNNERS))
def test_case(case_id):
    check_case(load("units")[case_id], RUNNERS)


def test_every_case_is_run_or_listed():
    check_complete("units", RUNNERS, BACKGROUND)


def test_browser_tables_are_json_and_agree_with_the_conversion():
    tables = json.loads(json.dumps(units.browser_tables()))
    assert set(tables) == set(units.UNITS_BY_KIND)
    for kind, table in tables.items():
        assert set(table) == set(units.UNITS_BY_KIND[kind])
        assert table[units.SI_UNIT[kind]] == [1.0, 0.0]
        for unit, (factor, offset) in table.items():
            typed = units.parse("321.5", kind, unit)
            assert 321.5 * factor + offset == pytest.approx(typed.si, rel=1e-15, abs=1e-300), (kind, unit)


def test_browser_spellings_name_offered_units_only():
    for kind, spellings in units.browser_spellings().items():
        assert set(spellings.values()) == set(units.UNITS_BY_KIND[kind])

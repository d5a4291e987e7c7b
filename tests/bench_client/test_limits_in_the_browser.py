"""The browser's judge of limits against the program's comparison of the same readings."""

import random

import pytest

from shopapp.calc import units
from shopapp.drawings import judge
from tests.conftest import SEED

pytestmark = pytest.mark.journey


def _step(low, high, *, absolute=False, most=None, unit="psi", kind="pressure", phase="built"):
    def si(text):
        return None if text is None else units.parse(text, kind, unit).si

    limits = {
        "low": si(low),
        "high": si(high),
        "low_text": low or "",
        "high_text": high or "",
        "absolute": absolute,
    }
    return {
        "limits": limits | {"target": None, "target_text": "", "words": "", "moved_from": None},
        "most": si(most), "most_text": most or "", "unit_kind": kind, "default_unit": unit, "signed": False,
        "phase": phase,
    }  # fmt: skip


def test_inside_below_above_as_the_program_says(modules):
    print(f"seed {SEED}")
    rng = random.Random(SEED)
    for _ in range(200):
        kind = rng.choice(["length", "pressure", "torque", "count"])
        unit = rng.choice(sorted(units.UNITS_BY_KIND[kind]))
        ends = sorted(rng.randrange(1, 640) for _ in range(2))
        low, high = (f"{end}/16" for end in ends)
        step = _step(rng.choice([low, None]), rng.choice([high, None]), unit=unit, kind=kind)
        typed = rng.choice([low, high, f"{rng.randrange(1, 640)}/16"])
        reading = units.parse(typed, kind, unit)
        meant = judge(reading.si, step["limits"]["low"], step["limits"]["high"]).value
        assert modules("limits", "judge", step, reading.si)["verdict"] == meant, (
            typed,
            low,
            high,
            unit,
            SEED,
        )


def test_the_limit_itself_is_inside_in_whichever_unit_it_is_typed(modules):
    step = _step("130", "150")
    for text in ("130 psi", "150 psi", "19500/150 psi"):
        read = modules("units", "parse", text, "pressure", {"tables": units.browser_tables()})
        assert modules("limits", "judge", step, read["si"])["verdict"] == "inside", text
    step = _step("50.8 mm", "55.5625 mm", unit="in", kind="length")
    read = modules("units", "parse", "2 3/16 in", "length", {"tables": units.browser_tables()})
    assert modules("limits", "judge", step, read["si"])["verdict"] == "inside"


@pytest.mark.parametrize(
    ("step", "typed", "outside"),
    [
        (_step("130", "150"), "140", ""),
        (_step("130", "150"), "151", "advisory"),
        (_step("130", "150"), "129", "advisory"),
        (_step("130", "150", absolute=True), "151", "absolute"),
        (_step("130", "150", most="200"), "200", "advisory"),
        (_step("130", "150", most="200"), "200.1", "absolute"),
        (_step(None, None, most="200"), "201", "absolute"),
        (_step(None, None), "9999", ""),
    ],
)
def test_both_kinds_of_limits(modules, step, typed, outside):
    si = units.parse(typed, "pressure", "psi").si
    assert modules("limits", "judge", step, si)["outside"] == outside


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("1400", "140"), ("14", "140"), ("9.65 psi", "9.65 bar"), ("160", None), ("777", None), ("13.9", "139")],
)
def test_the_likely_meaning_is_offered_where_only_one_fits(modules, typed, meant):
    step = _step("130", "150")
    tables = units.browser_tables()
    reading = modules("units", "parse", typed, "pressure", {"tables": tables, "unit": "psi"})
    found = modules(
        "limits", "likelyMeaning", step, reading, {"units": ["psi", "bar", "kPa"], "tables": tables}
    )
    assert (found and f"{found['text']} {found['unit']}") == (
        meant and (meant if " " in meant else f"{meant} psi")
    )


def test_what_is_said_of_a_reading(modules):
    tables = units.browser_tables()

    def said(step, text):
        options = {"tables": tables, "unit": step["default_unit"]}
        reading = modules("units", "parse", text, step["unit_kind"], options)
        return modules("limits", "judgeWords", step, reading, tables)

    clicks = _step("0", "16", unit="click", kind="count")
    assert said(clicks, "17") == "1 above 16."
    gap = _step("1 3/4 in", "2 3/4 in", unit="in", kind="length")
    assert said(gap, "2 3/16") == "Inside 1 3/4 to 2 3/4 in."
    assert said(gap, "2 13/16") == "1/16 in above 2 3/4 in."
    charge = _step("130 psi", "150 psi")
    assert said(charge, "129.5") == "0.5 psi below 130 psi."
    assert modules("limits", "judgeWords", charge, None, tables) == "Limits 130 to 150 psi."
    assert modules("limits", "judgeWords", _step("130 psi", None), None, tables) == "Limits at least 130 psi."


def test_limits_are_said_in_the_unit_that_is_being_typed(modules):
    """Seen in the bay: a gauge in psi beside limits in bar, to be turned in one's head."""
    tables = units.browser_tables()
    charge = _step("10.92 bar", "12.9 bar")
    assert modules("limits", "limitsIn", charge, "psi", tables) == "158.4 to 187.1 psi"
    assert modules("limits", "limitsIn", charge, "bar", tables) == ""
    gap = _step("1 3/4 in", "2 3/4 in", unit="in", kind="length")
    assert modules("limits", "limitsIn", gap, "mm", tables) == "44.45 to 69.85 mm"
    assert modules("limits", "limitsIn", gap, "in", tables) == ""
    clicks = _step("0", "16", unit="click", kind="count")
    assert modules("limits", "limitsIn", clicks, "click", tables) == ""

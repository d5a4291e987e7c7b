"""Springs against the reference cases."""

import math

import pytest

from shopapp.calc import springs
from shopapp.calc.units import convert
from tests.calc.cases import check_case, check_complete, load, run_ids

_SI = {"in": "m", "mm": "m", "lbf/in": "N/m", "lbf": "N", "psi": "Pa", "MPa": "Pa"}


def si(case, name):
    value, unit = case["inputs"][name]
    if isinstance(value, list):
        return [convert(one, unit, _SI[unit]) for one in value]
    return convert(value, unit, _SI[unit])


def _rate(case, coils, mean):
    return springs.helical_rate(si(case, "d"), mean, coils, si(case, "G"))


def _published(case):
    mean, coils = si(case, "D"), case["expected"]["Na"]
    rate = _rate(case, coils, mean)
    # The rate is turned round to the coils: they enter it inversely.
    travel = si(case, "free_length") - convert(case["expected"]["solid_height_in"], "in", "m")
    return {
        "Na": coils * rate / si(case, "k"),
        "force_at_solid_lbf": convert(springs.preload_force(si(case, "k"), travel), "N", "lbf"),
    }


def _published_back(case):
    return {"k_lbf_in": convert(_rate(case, case["inputs"]["Na"], si(case, "D")), "N/m", "lbf/in")}


def _textbook(case):
    mean = si(case, "OD") - si(case, "d")
    return {"k_lbf_in": convert(_rate(case, case["expected"]["Na"], mean), "N/m", "lbf/in")}


def _coil(case):
    mean = si(case, "OD") - si(case, "d")
    rate = _rate(case, case["expected"]["Na"], mean)
    inches = case["inputs"]["d"][1] == "in"
    length, slope, force = ("in", "lbf/in", "lbf") if inches else ("mm", "N/mm", "N")
    solid = convert(case["expected"]["solid_height"], length, "m")
    travel = springs.travel_left(si(case, "free_length"), solid, 0.0, 0.0)
    return {
        "k": convert(rate, "N/m", slope),
        "travel_to_solid": convert(travel, "m", length),
        "force_at_solid": convert(springs.preload_force(rate, travel), "N", force),
    }


def _wrong_page(case):
    rate = convert(_rate(case, case["inputs"]["Na"], si(case, "OD") - si(case, "d")), "N/m", "N/mm")
    assert rate != pytest.approx(case["expected"]["not"], rel=0.5)
    return {"k_N_mm": rate}


def _tandem(case):
    pair = springs.tandem(si(case, "k_tender"), si(case, "k_main"), si(case, "tender_travel"))
    assert pair.rate_n_per_m == springs.series_rate(si(case, "k_tender"), si(case, "k_main"))
    forces = si(case, "force")
    deflections = [pair.deflection_at(force) for force in forces]
    step = 1e-6
    slopes = [(pair.force_at(x + step) - pair.force_at(x)) / step for x in deflections]
    for force, deflection in zip(forces, deflections, strict=True):
        assert pair.force_at(deflection) == pytest.approx(force, rel=1e-12)
    return {
        "k_series_lbf_in": convert(pair.rate_n_per_m, "N/m", "lbf/in"),
        "crossover_force_lbf": convert(pair.crossover_force_n, "N", "lbf"),
        "crossover_deflection_in": convert(pair.crossover_m, "m", "in"),
        "deflection_at_force_in": [convert(x, "m", "in") for x in deflections],
        "rate_at_force_lbf_in": [convert(slope, "N/m", "lbf/in") for slope in slopes],
    }


def _wheel(case):
    ratio = case["inputs"].get("motion_ratio")
    if ratio is None:
        angle = math.radians(case["inputs"]["angle_from_travel"][0])
        ratio = case["inputs"]["lever_ratio"] * math.cos(angle)
    rate = springs.wheel_rate(si(case, "k"), ratio)
    computed = {
        "wheel_rate_lbf_in": convert(rate, "N/m", "lbf/in"),
        "wheel_rate_N_mm": convert(rate, "N/m", "N/mm"),
    }
    return {key: computed[key] for key in case["expected"]}


def _preload(case):
    now, wanted = si(case, "preload_now"), si(case, "preload_wanted")
    force_now, force_wanted = (
        convert(springs.preload_force(si(case, "k"), x), "N", "lbf") for x in (now, wanted)
    )
    turns = springs.collar_turns(now, wanted, si(case, "thread_pitch"))
    return {
        "force_now_lbf": force_now,
        "force_wanted_lbf": force_wanted,
        "force_change_lbf": force_wanted - force_now,
        "turns": turns,
    }


def _sag(case):
    names = ("preload", "gas_force", "wheel_travel")
    preload, gas, travel = (si(case, name) for name in names)
    settled = springs.sag(
        si(case, "wheel_load"), case["inputs"]["motion_ratio"], si(case, "k"), preload, gas, travel
    )
    return {
        "shock_travel_used_in": convert(settled.damper_travel_m, "m", "in")
        if settled.damper_travel_m
        else 0.0,
        "wheel_sag_in": convert(settled.wheel_m, "m", "in"),
        "sag_pct_of_wheel_travel": 100 * settled.fraction,
        "topped_out": settled.damper_travel_m == 0,
    }


def _bind(case):
    names = ("free_length", "solid_height", "preload", "stroke")
    left = springs.travel_left(*(si(case, name) for name in names))
    return {
        "travel_left_in": convert(left, "m", "in"),
        "binds": left < 0,
        "margin_ok": left >= si(case, "margin_wanted") - 1e-12,
    }


RUNNERS = {
    r"S-P01": _published,
    r"S-P02": _published_back,
    r"S-M01": _textbook,
    r"S-M02|S-C\d\d": _coil,
    r"S-W01": _wrong_page,
    r"S-S\d\d": _tandem,
    r"S-W1\d": _wheel,
    r"S-L\d\d": _preload,
    r"S-G\d\d": _sag,
    r"S-B\d\d": _bind,
}
BACKGROUND = {"S-E01": "block length by EN 13906-1: no call", "S-E02": "block length by EN 13906-1: no call"}
UNANSWERED = frozenset(
    [
        "D",
        "D_in",
        "C",
        "Na",
        "OD_in",
        "ID_in",
        "solid_height",
        "solid_height_in",
        "tau_solid_uncorrected",
        "bergstrasser_factor",
        "wahl_factor",
        "tau_solid_bergstrasser",
        "main_share_at_crossover_in",
        "total_travel_available_in",
        "main_binds_first",
        "turns_to_quarter",
        "spring_force_lbf",
        "spring_compression_in",
        "not",
    ]
)


@pytest.mark.parametrize("case_id", run_ids("springs", RUNNERS))
def test_case(case_id):
    check_case(load("springs")[case_id], RUNNERS, UNANSWERED)


def test_every_case_is_run_or_listed():
    check_complete("springs", RUNNERS, BACKGROUND)

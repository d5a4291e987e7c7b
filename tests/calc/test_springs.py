"""Springs against the reference cases, and against each other."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopapp.calc import springs
from shopapp.calc.units import convert
from tests.calc.cases import check_case, check_complete, load, run_ids

seeded = settings(print_blob=True, derandomize=False, deadline=None, max_examples=200)

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
    rate = springs.wheel_rate(si_rate(case), ratio)
    computed = {
        "wheel_rate_lbf_in": convert(rate, "N/m", "lbf/in"),
        "wheel_rate_N_mm": convert(rate, "N/m", "N/mm"),
    }
    return {key: computed[key] for key in case["expected"]}


def si_rate(case):
    return si(case, "k")


def _preload(case):
    now, wanted = si(case, "preload_now"), si(case, "preload_wanted")
    force_now, force_wanted = (
        convert(springs.preload_force(si_rate(case), x), "N", "lbf") for x in (now, wanted)
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
        si(case, "wheel_load"), case["inputs"]["motion_ratio"], si_rate(case), preload, gas, travel
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


rates = st.floats(1e3, 1e6)


@seeded
@given(rates, rates, st.floats(1e-3, 0.2), st.floats(0, 0.5))
def test_a_pair_bends_one_way_and_back(tender, main, travel, deflection):
    pair = springs.tandem(tender, main, travel)
    force = pair.force_at(deflection)
    assert pair.deflection_at(force) == pytest.approx(deflection, rel=1e-9, abs=1e-12)
    assert pair.force_at(deflection + 0.01) > force
    assert pair.rate_n_per_m < min(tender, main)
    assert pair.force_at(pair.crossover_m) == pytest.approx(tender * travel, rel=1e-12)


@seeded
@given(st.lists(rates, min_size=1, max_size=6))
def test_springs_in_series_carry_one_force(own):
    force = 1000.0
    together = math.fsum(force / rate for rate in own)
    assert force / springs.series_rate(*own) == pytest.approx(together, rel=1e-12)


@seeded
@given(rates, st.floats(0.3, 1.2), st.floats(0, 0.05), st.floats(0, 500), st.floats(0, 8000))
def test_sag_is_where_the_forces_balance(rate, ratio, preload, gas, load):
    settled = springs.sag(load, ratio, rate, preload, gas, 0.4)
    carried = (springs.preload_force(rate, preload + settled.damper_travel_m) + gas) * ratio
    if settled.damper_travel_m > 0:
        assert carried == pytest.approx(load, rel=1e-9)
    else:
        assert carried >= load * (1 - 1e-12)


GOOD = {
    springs.helical_rate: (0.012, 0.07, 6.5, 79.3e9),
    springs.series_rate: (1e5, 2e5),
    springs.tandem: (1e5, 2e5, 0.05),
    springs.collar_turns: (0.03, 0.04, 0.002),
    springs.preload_force: (1e5, 0.03),
    springs.wheel_rate: (1e5, 0.7),
    springs.sag: (3000.0, 0.7, 1e5, 0.03, 300.0, 0.4),
    springs.travel_left: (0.35, 0.11, 0.03, 0.2),
}


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, -1.0, 1e300, 10**400, None, "5", True])
@pytest.mark.parametrize("call", GOOD, ids=lambda call: call.__name__)
def test_every_figure_is_checked(call, bad):
    call(*GOOD[call])
    for place in range(len(GOOD[call])):
        figures = list(GOOD[call])
        figures[place] = bad
        with pytest.raises(ValueError, match=r"^(The|A) .*\.$"):
            call(*figures)


@pytest.mark.parametrize(
    ("call", "figures", "reason"),
    [
        (springs.helical_rate, (0.07, 0.07, 6, 8e10), "as thick as the coil"),
        (springs.helical_rate, (0.01, 0.07, 0, 8e10), "more than zero"),
        (springs.series_rate, (), "At least one"),
        (springs.collar_turns, (0.01, 0.02, 0), "more than zero"),
        (springs.travel_left, (0.1, 0.1, 0, 0), "less than the free length"),
        (springs.tandem(1e5, 2e5, 0.05).force_at, (-0.01,), "below zero"),
        (springs.tandem(1e5, 2e5, 0.05).deflection_at, (math.nan,), "ordinary number"),
    ],
)
def test_what_cannot_be_is_refused(call, figures, reason):
    with pytest.raises(ValueError, match=reason):
        call(*figures)

"""Shim stacks against the reference cases."""

import math

import pytest

from shopapp.calc import shims
from shopapp.calc.units import convert
from tests.calc.cases import check_case, check_complete, load, run_ids

_SI = {"mm": "m", "bar": "Pa", "N": "N"}


def si(case, name):
    value, unit = case["inputs"][name]
    return value * 1e9 if unit == "GPa" else convert(value, unit, _SI[unit])


def pairs(case, name):
    return [tuple(convert(x, "mm", "m") for x in pair) for pair in case["inputs"][name][0]]


def bent(case, plates):
    """Bend the case's plates; also give the stiffness where the case asks for it."""
    material = {"youngs_pa": si(case, "E"), "poisson": case["inputs"]["nu"]}
    clamp = si(case, "b_clamp_radius")
    found = shims.deflection(
        plates, clamp, pressure_pa=si(case, "pressure"), edge_load_n=si(case, "total_edge_load"), **material
    )
    computed = {
        "y_a_mm": found.edge_m * 1e3,
        "M_clamp_N": found.clamp_moment_n,
        "linear_ok_y_below_half_t": found.linear_ok,
        "stiffness_N_per_mm": shims.stiffness(plates, clamp, **material) / 1e3,
    }
    return {key: value for key, value in computed.items() if key in case["expected"]}


def _single(case):
    return bent(case, [(si(case, "a_outer_radius"), si(case, "t"))])


def _several(case):
    thicknesses = [convert(t, "mm", "m") for t in case["inputs"]["t_list"][0]]
    return bent(case, [(si(case, "a_outer_radius"), t) for t in thicknesses])


def _tapered(case):
    return bent(case, pairs(case, "plates_radius_thickness"))


def unit_plate(ratio, *, line=0.0, pressure=0.0, nu=0.3):
    """Bend a plate of radius 1 and D = 1: the answer is the coefficient. Downwards is negative, as in Roark."""
    thickness = (12 * (1 - nu**2) / 1e9) ** (1 / 3)
    found = shims.deflection(
        [(1.0, thickness)],
        ratio,
        pressure_pa=pressure,
        edge_load_n=2 * math.pi * line,
        youngs_pa=1e9,
        poisson=nu,
    )
    return -found.edge_m, -found.clamp_moment_n


def _coefficients(case):
    ratio = case["inputs"]["b_over_a"]
    line, line_moment = unit_plate(ratio, line=1.0)
    pressed, pressed_moment = unit_plate(ratio, pressure=1.0)
    return {
        "line_K_y": line,
        "line_K_Mb": line_moment,
        "pressure_K_y": pressed,
        "pressure_K_Mb": pressed_moment,
    }


def _roark(case):
    return {"pressure_K_y": [unit_plate(ratio, pressure=1.0)[0] for ratio in case["inputs"]["b_over_a"]]}


def _timoshenko(case):
    """Factors k of k·P·a²/(E·h³) and k·q·a⁴/(E·h³)."""
    ratios, nu = case["inputs"]["a_over_b"], case["inputs"]["nu"]
    turn = 12 * (1 - nu**2)
    return {
        "k_line": [-unit_plate(1 / ratio, line=1 / (2 * math.pi))[0] * turn for ratio in ratios],
        "k_pressure": [-unit_plate(1 / ratio, pressure=1.0)[0] * turn for ratio in ratios],
    }


def _scaling(case):
    ratio = case["inputs"]["t_ratio"]
    stiff = shims.stiffness([(0.02, 2e-4 * ratio)], 0.006) / shims.stiffness([(0.02, 2e-4)], 0.006)
    small = shims.deflection([(0.02, 2e-4)], 0.006, pressure_pa=2e4).edge_m
    large = shims.deflection([(0.04, 4e-4)], 0.012, pressure_pa=2e4).edge_m
    harder = shims.deflection([(0.02, 2e-4)], 0.006, pressure_pa=2e4, youngs_pa=2 * 206e9).edge_m
    return {
        "stiffness_ratio": stiff,
        "deflection_ratio_all_lengths_doubled_same_pressure": large / small,
        "deflection_ratio_E_doubled": harder / small,
    }


def _order(case):
    problems = shims.order_problems(
        pairs(case, "stack_from_piston_face_diameter_thickness"),
        clamp_diameter_m=si(case, "clamp_diameter"),
        seat_diameter_m=si(case, "port_seat_diameter"),
        crossovers=case["inputs"]["crossover_indexes"],
    )
    return {"valid": not problems}


RUNNERS = {
    r"P-S\d\d": _single,
    r"P-N\d": _several,
    r"P-T\d": _tapered,
    r"P-K\d": _coefficients,
    r"P-M1": _roark,
    r"P-M2": _timoshenko,
    r"P-L1": _scaling,
    r"P-O\d": _order,
}
UNANSWERED = frozenset(
    [
        "D_N_m",
        "stress_clamp_MPa",
        "t_equivalent_mm",
        "sum_t3_mm3",
        "ratio_if_glued_solid",
        "load_share_of_first",
    ]
)


@pytest.mark.parametrize("case_id", run_ids("shims", RUNNERS))
def test_case(case_id):
    check_case(load("shims")[case_id], RUNNERS, UNANSWERED)


def test_every_case_is_run_or_listed():
    check_complete("shims", RUNNERS, {})

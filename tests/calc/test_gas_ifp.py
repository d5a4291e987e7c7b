"""The floating piston: cap, clearance, floor, and the pressures at each end of the stroke."""

import math
from dataclasses import asdict, replace

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from shopapp.calc import gas

seeded = settings(print_blob=True, derandomize=False, deadline=None, max_examples=200)

AMBIENT = 101325.0
GEOMETRY = gas.Geometry(
    reservoir_bore_m=0.05,
    ifp_depth_m=0.073,
    depth_to="gas_face",
    ifp_thickness_m=0.018,
    cap_depth_m=0.012,
    reservoir_length_m=0.2,
    rod_m=0.022,
    stroke_m=0.2,
    oil_m3=0.0006,
    oil_expansion_per_k=0.0008,
    recess_m3=2e-6,
    clearance_m=0.005,
)
CHARGE, COLD, HOT = 862e3, 293.15, 353.15


def test_a_hot_damper_at_full_bump_follows_the_equation_of_state():
    checked = gas.ifp_check(GEOMETRY, CHARGE, COLD, HOT)
    growth = 0.0006 * 0.0008 * 60
    rod = math.pi / 4 * 0.022**2 * 0.2
    density = PropsSI("Dmolar", "P", CHARGE + AMBIENT, "T", COLD, "Nitrogen")
    grown = PropsSI(
        "P", "Dmolar", density * checked.gas_volume_m3 / (checked.gas_volume_m3 - growth), "T", HOT, "N2"
    )
    left = checked.gas_volume_m3 - growth
    quick = grown * (left / (left - rod)) ** 1.4
    assert checked.gauge_hot_bump_pa == pytest.approx(quick - AMBIENT, rel=0.004)
    area = math.pi / 4 * 0.05**2
    assert checked.gas_volume_m3 == pytest.approx(area * 0.061 + 2e-6, rel=1e-12)
    assert checked.gas_length_hot_bump_m == pytest.approx(0.061 - growth / area - rod / area, rel=1e-12)
    assert checked.rod_force_n == pytest.approx(CHARGE * math.pi / 4 * 0.022**2, rel=1e-12)
    assert (checked.meets_cap, checked.clearance_ok, checked.meets_floor) == (False, True, False)


def test_the_depth_to_the_oil_face_is_the_thickness_deeper():
    to_oil = replace(GEOMETRY, depth_to="oil_face", ifp_depth_m=0.073 + 0.018)
    ours, theirs = (asdict(gas.ifp_check(g, CHARGE, COLD, HOT)) for g in (GEOMETRY, to_oil))
    assert ours == pytest.approx(theirs, rel=1e-12)


def test_meeting_the_cap_hot_only_leaves_the_cold_figures():
    shallow = replace(GEOMETRY, ifp_depth_m=0.012 + 0.2 * (0.022 / 0.05) ** 2 + 0.003)
    checked = gas.ifp_check(shallow, CHARGE, COLD, HOT)
    assert checked.gas_length_bump_m == pytest.approx(0.003)
    assert checked.gas_length_hot_bump_m < 0
    assert checked.meets_cap and not checked.clearance_ok
    assert checked.compression_ratio is not None and checked.gauge_bump_pa is not None
    assert checked.gauge_hot_bump_pa is None


def test_touching_the_cap_is_meeting_it():
    touching = replace(GEOMETRY, ifp_depth_m=0.012 + 0.2 * (0.022 / 0.05) ** 2, oil_expansion_per_k=0.0)
    checked = gas.ifp_check(touching, CHARGE, COLD, HOT)
    assert checked.gas_length_bump_m == pytest.approx(0, abs=1e-12)
    assert checked.meets_cap
    assert checked.compression_ratio is checked.gauge_bump_pa is checked.gauge_hot_bump_pa is None


def test_clearance_just_met_is_met():
    left = gas.ifp_check(GEOMETRY, CHARGE, COLD, HOT).gas_length_hot_bump_m
    assert gas.ifp_check(replace(GEOMETRY, clearance_m=left), CHARGE, COLD, HOT).clearance_ok
    assert not gas.ifp_check(replace(GEOMETRY, clearance_m=left + 1e-6), CHARGE, COLD, HOT).clearance_ok


def test_cold_oil_takes_the_piston_to_the_floor():
    shrinkage_m = 0.0006 * 0.0008 * 40 / (math.pi / 4 * 0.05**2)
    face = 0.073 + 0.018
    just = replace(GEOMETRY, reservoir_length_m=face + shrinkage_m)
    assert gas.ifp_check(just, CHARGE, COLD, HOT).meets_floor
    clear = replace(GEOMETRY, reservoir_length_m=face + shrinkage_m + 1e-6)
    assert not gas.ifp_check(clear, CHARGE, COLD, HOT).meets_floor
    # Charged colder than the cold it is checked for, nothing shrinks any further.
    on_floor = replace(GEOMETRY, reservoir_length_m=face + 0.001)
    assert not gas.ifp_check(on_floor, CHARGE, 243.15, HOT).meets_floor


def test_an_uncharged_damper_pushes_the_rod_with_nothing():
    assert gas.ifp_check(GEOMETRY, 0.0, COLD, HOT).rod_force_n == 0


@seeded
@given(
    st.floats(0.03, 0.08),
    st.floats(0.02, 0.15),
    st.floats(0.008, 0.03),
    st.floats(0.02, 0.4),
    st.floats(0, 0.001),
)
def test_trouble_and_figures_agree(bore, depth, rod, stroke, oil):
    assume(depth > 0.0121)
    geometry = replace(
        GEOMETRY,
        reservoir_bore_m=bore,
        ifp_depth_m=depth,
        rod_m=rod,
        stroke_m=stroke,
        oil_m3=oil,
        recess_m3=0.0,
    )
    try:
        checked = gas.ifp_check(geometry, CHARGE, COLD, HOT)
    except ValueError as error:
        assert "pressed together further" in str(error)
        return
    assert checked.gas_length_hot_bump_m <= checked.gas_length_bump_m < checked.gas_length_m
    assert checked.meets_cap == (checked.gauge_hot_bump_pa is None)
    assert (checked.gauge_bump_pa is None) == (checked.compression_ratio is None)
    assert checked.clearance_ok <= (not checked.meets_cap)
    if checked.compression_ratio is not None:
        lengths = checked.gas_length_m / checked.gas_length_bump_m
        assert checked.compression_ratio == pytest.approx(lengths, rel=1e-6)
        assert checked.gauge_bump_pa > CHARGE
    if checked.gauge_hot_bump_pa is not None:
        assert checked.gauge_hot_bump_pa > checked.gauge_bump_pa


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"depth_to": "floor"}, "which face"),
        ({"ifp_depth_m": 0.012}, "stand in the cap"),
        ({"ifp_depth_m": 0.02, "depth_to": "oil_face"}, "stand in the cap"),
        ({"reservoir_length_m": 0.09}, "stand in the floor"),
        ({"oil_expansion_per_k": 0.5}, "expansion"),
        ({"rod_m": 0.0}, "more than zero"),
        ({"clearance_m": -0.001}, "below zero"),
    ],
)
def test_what_cannot_be_put_together_is_refused(change, reason):
    with pytest.raises(ValueError, match=reason):
        replace(GEOMETRY, **change)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0, 1e300, None, "5", True])
def test_every_figure_of_the_geometry_is_checked(bad):
    for name in asdict(GEOMETRY):
        with pytest.raises(ValueError, match=r"\.$"):
            replace(GEOMETRY, **{name: bad})


@pytest.mark.parametrize(
    ("figures", "reason"),
    [
        ({"charge_gauge_pa": -1.0}, "below zero"),
        ({"charge_gauge_pa": math.nan}, "ordinary number"),
        ({"charge_gauge_pa": 5e8}, "too high"),
        ({"charge_k": 0.0}, "absolute zero"),
        ({"charge_k": 20.0}, "−123"),
        ({"hot_k": 280.0}, "must not be below"),
        ({"exponent": 2.0}, "exponent"),
        ({"ambient_pa": 0.0}, "ambient"),
    ],
)
def test_what_cannot_be_charged_is_refused(figures, reason):
    good = {"charge_gauge_pa": CHARGE, "charge_k": COLD, "hot_k": HOT}
    with pytest.raises(ValueError, match=reason):
        gas.ifp_check(GEOMETRY, **(good | figures))

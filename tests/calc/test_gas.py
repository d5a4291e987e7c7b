"""The gas charge against an equation of state, and what it refuses."""

import math

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from shopapp.calc import gas
from shopapp.calc.gas.nitrogen import second_virial

seeded = settings(print_blob=True, derandomize=False, deadline=None, max_examples=200)

PSI = 6894.757293168361
AMBIENT = 101325.0

charges = st.floats(0, 300 * PSI)
temperatures = st.floats(253.15, 393.15)


def true_density(absolute_pa, k):
    return PropsSI("Dmolar", "P", absolute_pa, "T", k, "Nitrogen")


def true_pressure(density, k):
    return PropsSI("P", "Dmolar", density, "T", k, "Nitrogen")


@seeded
@given(charges, temperatures, temperatures)
def test_a_fixed_volume_keeps_within_a_thousandth(charge, at_k, to_k):
    """Above 290 psi, from the coldest to the hottest, it is a little more: seen at 296 psi, 0.1000006 %."""
    expected = true_pressure(true_density(charge + AMBIENT, at_k), to_k)
    gauge = gas.gauge_at_temperature(charge, at_k, to_k)
    assert gauge + AMBIENT == pytest.approx(expected, rel=0.001 if charge <= 290 * PSI else 0.00105)
    assert gas.gauge_at_temperature(gauge, to_k, at_k) == pytest.approx(charge, rel=1e-9, abs=1e-4)


@seeded
@given(charges, temperatures, st.floats(-0.3, 0.4))
def test_slow_compression_keeps_within_three_thousandths(charge, k, share):
    """By more than 35 % of the volume it is up to four: seen in the cold at 290 psi, 0.3001 %."""
    expected = true_pressure(true_density(charge + AMBIENT, k) / (1 - share), k)
    gauge = gas.isothermal_gauge(charge, k, 2e-4, 2e-4 * share)
    assert gauge + AMBIENT == pytest.approx(expected, rel=0.003 if share <= 0.35 else 0.004)


@pytest.mark.parametrize(("psi", "most"), [(290, 0.001), (300, 0.00105)])
def test_the_worst_corner_of_a_fixed_volume(psi, most):
    """Charged at −20 °C and carried to 120 °C. Source: CoolProp's nitrogen. Seen red with 0.1 % at 300 psi."""
    expected = true_pressure(true_density(psi * PSI + AMBIENT, 253.15), 393.15)
    gauge = gas.gauge_at_temperature(psi * PSI, 253.15, 393.15)
    assert gauge + AMBIENT == pytest.approx(expected, rel=most)


@pytest.mark.parametrize(("share", "most"), [(0.35, 0.003), (0.4, 0.004)])
def test_the_worst_corner_of_slow_compression(share, most):
    """300 psi at −20 °C: as cold and as dense as the claim goes. Source: CoolProp's nitrogen."""
    expected = true_pressure(true_density(300 * PSI + AMBIENT, 253.15) / (1 - share), 253.15)
    gauge = gas.isothermal_gauge(300 * PSI, 253.15, 2e-4, 2e-4 * share)
    assert gauge + AMBIENT == pytest.approx(expected, rel=most)


@seeded
@given(charges, temperatures)
def test_compressibility_keeps_within_three_thousandths(charge, k):
    expected = PropsSI("Z", "P", charge + AMBIENT, "T", k, "Nitrogen")
    assert gas.compressibility(charge + AMBIENT, k) == pytest.approx(expected, rel=0.003)


@seeded
@given(temperatures)
def test_the_second_virial_coefficient_lies_where_the_equation_of_state_has_it(k):
    expected = PropsSI("BVIRIAL", "T", k, "Dmolar", 1e-6, "Nitrogen")
    assert second_virial(k) == pytest.approx(expected, abs=0.75e-6)


@pytest.mark.parametrize("k", [253.15, 273.15, 293.15, 323.15, 393.15])
def test_near_1000_psi_it_is_two_percent_off_at_most(k):
    expected = true_pressure(true_density(1000 * PSI, 293.15), k)
    assert gas.gauge_at_temperature(1000 * PSI - AMBIENT, 293.15, k) + AMBIENT == pytest.approx(
        expected, rel=0.02
    )


@seeded
@given(charges, st.floats(0, 0.5), st.floats(1, 1.7))
def test_quick_compression_is_never_below_slow(charge, share, exponent):
    slow = gas.isothermal_gauge(charge, 293.15, 1e-4, 1e-4 * share, gas="ideal")
    quick = gas.polytropic_gauge(charge, 1e-4, 1e-4 * share, exponent)
    assert quick >= slow - 1e-6
    assert gas.polytropic_gauge(charge, 1e-4, 1e-4 * share, 1.0) == pytest.approx(slow, rel=1e-12, abs=1e-6)


@seeded
@given(charges, st.floats(1e-5, 1e-3), st.floats(0, 1e-4), st.floats(50000, 110000))
def test_the_hose_takes_what_the_chamber_gives(held, chamber, hose, ambient):
    amount = (held + ambient) * chamber + ambient * hose
    reading = amount / (chamber + hose) - ambient
    before = gas.gauge_before_hose(reading, chamber, hose, ambient_pa=ambient)
    assert before == pytest.approx(held, rel=1e-9, abs=1e-4)


@seeded
@given(charges, temperatures, temperatures, st.floats(0.1, 1000))
def test_a_tight_damper_loses_nothing_whatever_the_weather(charge, charged_k, found_k, days):
    found = gas.gauge_at_temperature(charge, charged_k, found_k)
    assert gas.leak_rate(charge, charged_k, found, found_k, days) * days == pytest.approx(0, abs=1)
    lost = gas.leak_rate(charge, charged_k, found - 0.1 * (found + AMBIENT), found_k, days)
    assert lost > 0
    assert gas.leak_rate(charge, charged_k, found + 1000, found_k, days) < 0


def test_a_leak_is_counted_at_the_reference_temperature():
    assert gas.leak_rate(9e5, 293.15, 8.7e5, 293.15, 30) == pytest.approx(1000, rel=1e-9)


def test_a_ring_is_the_bore_less_the_rod():
    ring = gas.cylinder_volume(0.05, 0.2, rod_m=0.02)
    assert ring == pytest.approx(gas.cylinder_volume(0.05, 0.2) - gas.cylinder_volume(0.02, 0.2), rel=1e-12)
    assert gas.cylinder_volume(0.05, 0.2) == pytest.approx(math.pi * 0.025**2 * 0.2, rel=1e-12)
    assert gas.cylinder_volume(0.05, 0) == 0


def test_the_air_gets_thinner_all_the_way_up():
    pressures = [gas.ambient_at(height) for height in range(-500, 5001, 100)]
    assert pressures == sorted(pressures, reverse=True)
    assert gas.ambient_at(0) == 101325


GOOD = {
    gas.gauge_at_temperature: {"gauge_pa": 8e5, "at_k": 293.0, "to_k": 350.0, "ambient_pa": 1e5},
    gas.isothermal_gauge: {
        "gauge_pa": 8e5, "at_k": 293.0, "volume_m3": 2e-4, "displaced_m3": 5e-5, "ambient_pa": 1e5,
    },
    gas.polytropic_gauge: {
        "gauge_pa": 8e5, "volume_m3": 2e-4, "displaced_m3": 5e-5, "exponent": 1.3, "ambient_pa": 1e5,
    },
    gas.compressibility: {"absolute_pa": 9e5, "k": 293.0},
    gas.gauge_before_hose: {"reading_pa": 8e5, "chamber_m3": 1e-4, "hose_m3": 1e-5, "ambient_pa": 1e5},
    gas.cylinder_volume: {"bore_m": 0.05, "length_m": 0.2, "rod_m": 0.02},
    gas.ambient_at: {"height_m": 1200.0},
    gas.leak_rate: {
        "charged_gauge_pa": 8e5, "charged_k": 293.0, "found_gauge_pa": 7e5, "found_k": 300.0, "days": 30.0,
        "reference_k": 293.15, "ambient_pa": 1e5,
    },
}  # fmt: skip


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, 1e300, -1e300, 10**400, None, "5", True])
@pytest.mark.parametrize("call", GOOD, ids=lambda call: call.__name__)
def test_every_figure_is_checked(call, bad):
    assert math.isfinite(call(**GOOD[call]))
    for name in GOOD[call]:
        with pytest.raises(ValueError, match=r"^(The|More) .*\.$"):
            call(**(GOOD[call] | {name: bad}))


@pytest.mark.parametrize(
    ("call", "figures", "reason"),
    [
        (gas.gauge_at_temperature, {"at_k": 0.0}, "absolute zero"),
        (gas.gauge_at_temperature, {"to_k": -5.0}, "absolute zero"),
        (gas.gauge_at_temperature, {"at_k": 20.0}, "−123"),
        (gas.gauge_at_temperature, {"gauge_pa": -1e5}, "vacuum"),
        (gas.gauge_at_temperature, {"ambient_pa": 0.0}, "more than zero"),
        (gas.gauge_at_temperature, {"gas": "air"}, "nitrogen"),
        (gas.gauge_at_temperature, {"gauge_pa": 5e8}, "too high"),
        (gas.isothermal_gauge, {"displaced_m3": 2e-4}, "More volume"),
        (gas.isothermal_gauge, {"displaced_m3": 1.999e-4}, "pressed together further"),
        (gas.isothermal_gauge, {"gas": "air"}, "nitrogen"),
        (gas.isothermal_gauge, {"volume_m3": 0.0}, "more than zero"),
        (gas.polytropic_gauge, {"displaced_m3": 3e-4}, "More volume"),
        (gas.polytropic_gauge, {"exponent": 0.9}, "exponent"),
        (gas.compressibility, {"absolute_pa": 0.0}, "more than zero"),
        (gas.compressibility, {"absolute_pa": 1.9e7, "k": 150.0}, "too cold and too dense"),
        (gas.gauge_before_hose, {"chamber_m3": 0.0}, "more than zero"),
        (gas.gauge_before_hose, {"hose_m3": -1e-6}, "below zero"),
        (gas.cylinder_volume, {"rod_m": 0.05}, "thinner than the bore"),
        (gas.cylinder_volume, {"length_m": -0.1}, "below zero"),
        (gas.ambient_at, {"height_m": 5001.0}, "between -500 and 5000"),
        (gas.leak_rate, {"days": 0.0}, "more than zero"),
        (gas.leak_rate, {"days": -3.0}, "more than zero"),
    ],
)
def test_what_cannot_be_is_refused(call, figures, reason):
    with pytest.raises(ValueError, match=reason):
        call(**(GOOD[call] | figures))

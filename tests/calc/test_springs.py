"""Springs against each other, and what they refuse."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopapp.calc import springs

seeded = settings(print_blob=True, derandomize=False, deadline=None, max_examples=200)

rates = st.floats(1e3, 1e6)
loads = st.one_of(st.just(0.0), st.floats(1e-6, 8000))
"""None, or a micronewton at least: what the smallest of floats would bend a spring by is no float any more."""


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
@given(rates, st.floats(0.3, 1.2), st.floats(0, 0.05), st.floats(0, 500), loads)
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

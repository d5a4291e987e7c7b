"""Shim stacks against a thin-plate solution of our own making, against each other, and what they refuse."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from shopapp.calc import shims, words

seeded = settings(print_blob=True, derandomize=False, deadline=None, max_examples=60)

CLAMP = 0.006
thicknesses = st.floats(0.05e-3, 1e-3)
radii = st.integers(65, 200).map(lambda tenths: tenths / 1e4)
behind = st.lists(st.tuples(radii, thicknesses), max_size=6)


def by_elements(plates, clamp, pressure, whole, modulus=206e9, nu=0.3, elements=60):
    """Bend the stack with cubic (Hermite) ring elements: an energy method, nothing shared with the closed form."""
    edge = plates[0][0]
    cuts = sorted({clamp, *(r for r, _ in plates)})
    nodes = [clamp]
    for inside, outside in pairwise(cuts):
        count = max(4, round(elements * (outside - inside) / (edge - clamp)))
        nodes += list(np.linspace(inside, outside, count + 1)[1:])
    size = 2 * len(nodes)
    matrix, force = np.zeros((size, size)), np.zeros(size)
    points, weights = np.polynomial.legendre.leggauss(5)
    for number, (r0, r1) in enumerate(pairwise(nodes)):
        h, middle = r1 - r0, (r0 + r1) / 2
        d = modulus / (12 * (1 - nu**2)) * sum(t**3 for r, t in plates if r >= middle)
        place = slice(2 * number, 2 * number + 4)
        for point, weight in zip(points, weights, strict=True):
            s, r = (point + 1) / 2, r0 + h * (point + 1) / 2
            shape = np.array([1 - 3 * s**2 + 2 * s**3, h * (s - 2 * s**2 + s**3), 3 * s**2 - 2 * s**3,
                              h * (s**3 - s**2)])  # fmt: skip
            first = np.array([(6 * s**2 - 6 * s) / h, 1 - 4 * s + 3 * s**2, (6 * s - 6 * s**2) / h,
                              3 * s**2 - 2 * s])  # fmt: skip
            second = np.array([(12 * s - 6) / h**2, (6 * s - 4) / h, (6 - 12 * s) / h**2, (6 * s - 2) / h])
            radial, hoop = second, first / r
            stiff = (
                np.outer(radial, radial)
                + np.outer(hoop, hoop)
                + nu * (np.outer(radial, hoop) + np.outer(hoop, radial))
            )
            area = 2 * math.pi * r * weight * h / 2
            matrix[place, place] += d * stiff * area
            force[place] += pressure * shape * area
    force[-2] += whole
    return float(np.linalg.solve(matrix[2:, 2:], force[2:])[-2])


@settings(seeded, max_examples=12)
@given(thicknesses, behind, st.floats(0, 2e5), st.floats(0, 50))
def test_the_closed_form_agrees_with_finite_elements(face, rest, pressure, whole):
    assume(pressure > 1 or whole > 0.01)
    plates = [(0.02, face), *rest]
    found = shims.deflection(plates, CLAMP, pressure_pa=pressure, edge_load_n=whole)
    assert found.edge_m == pytest.approx(by_elements(plates, CLAMP, pressure, whole), rel=1e-4)


@pytest.mark.parametrize("overhang", [1e-2, 1e-4, 1e-6, 1e-9])
def test_a_shim_that_hardly_passes_its_clamp_is_a_cantilever(overhang):
    """The limit is a beam of unit width: P·L³/(3·D); floats alone would have kept no digit of it."""
    radius = CLAMP * (1 + overhang)
    bending = shims.YOUNGS_PA * (2e-4) ** 3 / (12 * (1 - shims.POISSON**2))
    length = radius - CLAMP
    line = 1 / (2 * math.pi * radius)
    beam = line * length**3 / (3 * bending)
    assert 1 / shims.stiffness([(radius, 2e-4)], CLAMP) == pytest.approx(beam, rel=max(1e-9, overhang), abs=0)


@seeded
@given(thicknesses, behind, st.randoms(use_true_random=False))
def test_the_order_behind_the_face_does_not_matter(face, rest, chance):
    mixed = list(rest)
    chance.shuffle(mixed)
    first = shims.stiffness([(0.02, face), *rest], CLAMP)
    assert shims.stiffness([(0.02, face), *mixed], CLAMP) == pytest.approx(first, rel=1e-12)


@seeded
@given(thicknesses, behind, st.tuples(radii, thicknesses))
def test_one_shim_more_and_a_thicker_one_are_stiffer(face, rest, more):
    plates = [(0.02, face), *rest]
    own = shims.stiffness(plates, CLAMP)
    assert shims.stiffness([*plates, more], CLAMP) > own
    assert shims.stiffness([(0.02, face * 1.05), *rest], CLAMP) > own
    assert shims.stiffness(plates, CLAMP * 1.02) > own


@seeded
@given(thicknesses, behind, st.floats(1, 1e5), st.floats(0.1, 50))
def test_loads_add_and_their_answers_with_them(face, rest, pressure, whole):
    plates = [(0.02, face), *rest]
    apart = [
        shims.deflection(plates, CLAMP, pressure_pa=pressure),
        shims.deflection(plates, CLAMP, edge_load_n=whole),
    ]
    both = shims.deflection(plates, CLAMP, pressure_pa=pressure, edge_load_n=whole)
    assert both.edge_m == pytest.approx(sum(one.edge_m for one in apart), rel=1e-9)
    assert both.clamp_moment_n == pytest.approx(sum(one.clamp_moment_n for one in apart), rel=1e-9)
    assert both.edge_m == pytest.approx(apart[0].edge_m + whole / shims.stiffness(plates, CLAMP), rel=1e-9)


@seeded
@given(st.lists(thicknesses, min_size=1, max_size=8))
def test_plates_of_one_size_slide_on_each_other(own):
    """Their cubes add; glued they would be (Σt)³."""
    alone = shims.stiffness([(0.02, 1e-3)], CLAMP)
    together = shims.stiffness([(0.02, t) for t in own], CLAMP)
    assert together / alone == pytest.approx(math.fsum((t / 1e-3) ** 3 for t in own), rel=1e-9)


def test_linear_until_half_the_thinnest_plate():
    plates = [(0.02, 2e-4), (0.017, 1e-4)]
    whole = shims.stiffness(plates, CLAMP) * 0.5e-4
    assert shims.deflection(plates, CLAMP, edge_load_n=whole * 0.999).linear_ok
    assert not shims.deflection(plates, CLAMP, edge_load_n=whole * 1.001).linear_ok


BAD = [math.nan, math.inf, -math.inf, -1.0, 1e300, 10**400, None, "5", True]


@pytest.mark.parametrize("bad", BAD)
@pytest.mark.parametrize(
    "name", ["radius", "thickness", "clamp", "pressure_pa", "edge_load_n", "youngs_pa", "poisson"]
)
def test_every_figure_is_checked(name, bad):
    given_ = {"radius": 0.02, "thickness": 2e-4, "clamp": CLAMP}
    keyword = {"pressure_pa": 1e4, "edge_load_n": 5.0, "youngs_pa": 206e9, "poisson": 0.3}

    def bend():
        return shims.deflection([(given_["radius"], given_["thickness"])], given_["clamp"], **keyword)

    assert bend().edge_m > 0
    (given_ if name in given_ else keyword)[name] = bad
    with pytest.raises(ValueError, match=r"^[A-Z].*\.$"):
        bend()


@pytest.mark.parametrize(
    ("plates", "clamp", "reason"),
    [
        ([], CLAMP, "no shim"),
        ([(0.02, 0)], CLAMP, "more than zero"),
        ([(0.02, 2e-4), (CLAMP, 2e-4)], CLAMP, "no larger than the clamp"),
        ([(0.02, 2e-4), (0.021, 2e-4)], CLAMP, "larger than the face shim"),
    ],
)
def test_what_does_not_bend_is_refused(plates, clamp, reason):
    for call in (shims.deflection, shims.stiffness):
        with pytest.raises(ValueError, match=reason):
            call(plates, clamp)


def problems(*diameters, **told):
    stack = [(d / 1e3, 2e-4) for d in diameters]
    return shims.order_problems(stack, **{"clamp_diameter_m": 0.012, "seat_diameter_m": 0.036, **told})


def test_each_problem_is_told_with_its_place_and_figures():
    assert problems(40, 36, 32) == []
    assert problems() == ["There is no shim in the stack."]
    assert problems(34.5, 30) == ["The face shim of 34.5 mm does not cover the port seat of 36 mm."]
    assert problems(40, 12) == ["The shim of 12 mm at place 2 does not reach past the clamp of 12 mm."]
    assert problems(40, 32, 36) == [
        "The shim of 36 mm at place 3 is larger than the one of 32 mm before it, which is not marked as a crossover "
        "shim."
    ]
    assert problems(40, 32, 36, crossovers=[1]) == []
    assert problems(40, 32, 36, crossovers=[2])[0].startswith("The shim of 36 mm at place 3 is larger")
    assert problems(40, 36, crossovers=[7]) == [
        "A crossover shim is marked at place 8; the stack has 2 places."
    ]
    thin = shims.order_problems([(0.04, 0.0)], clamp_diameter_m=0.012, seat_diameter_m=0.036)
    assert thin == ["The shim at place 1 has no thickness."]


def test_figures_are_written_in_the_unit_and_mark_of_the_shop():
    told = problems(34.5, 30, unit="in", decimal_comma=True)
    assert told == ["The face shim of 1,3583 in does not cover the port seat of 1,4173 in."]


def test_several_problems_stand_in_the_order_of_their_places():
    told = problems(30, 34, 10)
    assert [one.split(" at place ")[-1][0] for one in told[1:]] == ["2", "3"]
    assert "port seat" in told[0]


@seeded
@given(st.lists(st.floats(12.1, 44), min_size=1, max_size=12))
def test_a_taper_makes_sense_and_its_reverse_does_not(diameters):
    taper = sorted((d / 1e3 for d in diameters), reverse=True)
    sized = [(0.045, 2e-4), *((d, 2e-4) for d in taper)]
    limits = {"clamp_diameter_m": 0.012, "seat_diameter_m": 0.036}
    assert shims.order_problems(sized, **limits) == []
    assert len(shims.order_problems(sized[::-1], **limits)) >= 1
    everywhere = range(len(sized))
    assert all(
        "larger" not in one for one in shims.order_problems(sized[::-1], **limits, crossovers=everywhere)
    )


@pytest.mark.parametrize("bad", [value for value in BAD if value != 0])
def test_a_length_that_is_none_is_refused(bad):
    good = {"clamp_diameter_m": 0.012, "seat_diameter_m": 0.036}
    for stack, told in (
        ([(bad, 2e-4)], good),
        ([(0.04, bad)], good),
        ([(0.04, 2e-4)], good | {"clamp_diameter_m": bad}),
        ([(0.04, 2e-4)], good | {"seat_diameter_m": bad}),
    ):
        with pytest.raises(ValueError, match=r"^(The|A) .*\.$"):
            shims.order_problems(stack, **told)


def test_sentences_go_through_the_readers_language():
    before = list(words._readers)
    words.speak_through(lambda template: template.upper() if "no shim" in template else template)
    try:
        assert problems() == ["THERE IS NO SHIM IN THE STACK."]
    finally:
        words._readers[:] = before

"""Stacks read as people write them, written back, asked about, compared."""

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopapp.calc import shims, stacks
from shopapp.calc.units import Measurement, parse

seeded = settings(print_blob=True, derandomize=False, deadline=None, max_examples=150)


def figures(stack):
    return [(round(s.diameter.si * 1e3, 6), round(s.thickness.si * 1e3, 6)) for s in stack]


TAPER = [(40, 0.2), (40, 0.2), (36, 0.2)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", []),
        (" \n\t ", []),
        ("40x0.20 40x0.20 36x0.20", TAPER),
        ("40x0.20, 40x0.20, 36x0.20", TAPER),
        ("40x0.20;40x0.20;36x0.20;", TAPER),
        ("40x0.20\r\n40x0.20\n\n36x0.20\n", TAPER),
        ("40 x 0.20 40 × .2 36*0.20", TAPER),
        ("40\u00a0X\u202f0.20\t40 by 0.2 ⌀36 x 0.20", TAPER),
        ("2 x 40x0.20 36x0.20", TAPER),
        ("40x0.20 x2 36x0.20", TAPER),
        ("2x40x0.20 36x0.20x1", TAPER),
        ("2 off 40x0.20, 36x0.20", TAPER),
        ("40 mm x 0.20 mm 40mm x 0.2mm 36x0.20", TAPER),
        ("3 x 40x1", [(40, 1)] * 3),
        ("1.575x0.008 in", [(40.005, 0.2032)]),
        ('1-1/2" x 0.010"', [(38.1, 0.254)]),
        ("1½ x 10 thou", [(0.0381, 0.254)]),
        ("60 x 40x0.10", [(40, 0.1)] * 60),
    ],
)
def test_a_stack_reads_as_it_is_written_in_the_shop(text, expected):
    assert figures(stacks.read(text)) == expected


def test_a_comma_is_a_decimal_sign_where_the_shop_writes_it_so():
    assert figures(stacks.read("2 x 40 x 0,20, 36x0,20", decimal_comma=True)) == TAPER
    with pytest.raises(ValueError, match=r"two ways.*blank after a comma"):
        stacks.read("40x0,20")
    with pytest.raises(ValueError, match=r"two ways.*blank after a comma"):
        stacks.read("40x0.20,36x0.20")


def test_what_was_typed_is_kept_with_each_shim():
    one, two, small = stacks.read("2 x 40  x 0.20, 24.0 x .10 mm c")
    assert one == two
    assert (one.text, one.diameter.text, one.thickness.text) == ("40  x 0.20", "40", "0.20")
    assert (small.text, small.thickness.text, small.crossover) == ("24.0 x .10 mm", ".10 mm", True)
    assert [stacks.label(shim) for shim in (one, small)] == ["40 × 0.20", "24.0 × .10"]
    assert stacks.label(stacks.read("1.575x0.008 in")[0]) == "1.575 × 0.008 in"
    assert stacks.label(stacks.read("40 mm x 0.008 in")[0]) == "40 mm × 0.008 in"


def test_a_crossover_shim_keeps_its_place_and_lets_a_larger_one_follow():
    limits = {"clamp_diameter_m": 0.012, "seat_diameter_m": 0.036}
    for text, places in (
        ("40x.2 24x.1c 38x.2", (1,)),
        ("40x.2 24x.1 (crossover) 38x.2", (1,)),
        ("40x.2", ()),
    ):
        stack = stacks.read(text)
        assert stacks.crossovers(stack) == places
        assert shims.order_problems(stacks.plates(stack), crossovers=places, **limits) == []
    unmarked = stacks.read("40x.2 24x.1 38x.2")
    assert len(shims.order_problems(stacks.plates(unmarked), **limits)) == 1


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("hello", "not a stack of shims"),
        ("40", "not a stack of shims"),
        ("40x", "not a stack of shims"),
        ("x40", "not a stack of shims"),
        ("40x0.2x", "not a stack of shims"),
        ("40xx0.2", "not a stack of shims"),
        ("40x0.2x3x36", "not a stack of shims"),
        ("40x0.2.1", "decimal point"),
        ("40x0.2 mm mm", "not a stack of shims"),
        ("c 40x0.2", "not a stack of shims"),
        ("40x0.2 c c", "not a stack of shims"),
        ("40x2x1", "40 shims of 2 × 1 or as 1 of 40 × 2"),
        ("0x40x0.2", "1 to 60 times, not 0"),
        ("61x40x0.2", "1 to 60 times, not 61"),
        ("40 x 40x0.2 21 x 36x0.2", "at most 60 shims"),
        ("40x0", "above zero"),
        ("0x0.2", "above zero"),
        ("-40x0.2", "below zero"),
        ("40x0.2 kg", "not a unit of length"),
        ("1.575x0.008 in 40x0.2", "unit at every shim"),
        ("40x0.2 1.575x0.008 in", "unit at every shim"),
        ("٤٠x0.2", "not a stack of shims"),
        ("40x0.2\x00", "not a stack of shims"),
        ("40x0.2 \ud800", "not a stack of shims"),
        ("9" * 400 + "x0.2", "at most 60 characters"),
        ("40x0.2 " * 1000, "too long"),
        (None, "too long"),
    ],
)
def test_what_cannot_be_read_in_one_way_is_refused_with_a_sentence(text, reason):
    with pytest.raises(ValueError, match=reason) as refused:
        stacks.read(text)
    assert str(refused.value).encode("utf-8").decode().endswith(".")


HOSTILE = '0123456789.,x× /-½c"mMin;\n\x00\ud800e+*'


@settings(seeded, max_examples=400)
@given(
    st.text(alphabet=st.sampled_from('0123456789.,x× /-½c"mMin;\n\x00\ud800e+*'), max_size=40)
    | st.text(max_size=60)
)
def test_any_text_is_a_stack_or_a_sentence(text):
    for decimal_comma in (False, True):
        try:
            stack = stacks.read(text, decimal_comma=decimal_comma)
        except ValueError as refused:
            str(refused).encode("utf-8")
            assert str(refused).strip()
        else:
            assert len(stack) <= stacks.MOST_SHIMS
            assert all(s.diameter.si > 0 and s.thickness.si > 0 for s in stack)
            again = stacks.read(stacks.write(stack, decimal_comma=decimal_comma), decimal_comma=decimal_comma)
            assert exact(again) == exact(stack)


def exact(stack):
    return [(s.diameter.si, s.diameter.unit, s.thickness.si, s.thickness.unit, s.crossover) for s in stack]


wide = st.integers(12, 44).map(str) | st.decimals(12, 44, places=2).map(str)
thick = st.decimals("0.05", "0.99", places=2).map(str)
metric = st.tuples(wide, thick).map("x".join)
marked = st.tuples(metric, st.sampled_from(["", " c"])).map("".join)
inches = st.tuples(
    st.decimals("0.5", "1.8", places=3).map(str), st.decimals("0.004", "0.020", places=3).map(str)
)
in_inches = inches.map(lambda pair: f"{pair[0]} x {pair[1]} in")


@seeded
@given(st.lists(marked, max_size=20) | st.lists(in_inches, max_size=8), st.booleans())
def test_what_is_written_reads_back_equal(texts, decimal_comma):
    stack = stacks.read("\n".join(texts))
    written = stacks.write(stack, decimal_comma=decimal_comma)
    again = stacks.read(written, decimal_comma=decimal_comma)
    assert exact(again) == exact(stack)
    assert stacks.write(again, decimal_comma=decimal_comma) == written


def test_writing_counts_equal_neighbours_and_keeps_figures_as_typed():
    stack = stacks.read("40x0.20 40x0.20 36x.2 36x.2 c 36x.2")
    assert stacks.write(stack) == "2 x 40x0.20, 36x.2, 36x.2 c, 36x.2"
    assert stacks.write(stack, decimal_comma=True) == "2 x 40x0.20; 36x.2; 36x.2 c; 36x.2"
    assert stacks.write(stacks.read("40x0,20", decimal_comma=True)) == "40x0.20"
    assert stacks.write(stacks.read('1.575"x0.010"')) == "1.575x0.010 in"
    assert stacks.write(stacks.read("40 mm x 0.008 in")) == "40 mmx0.008 in"
    assert stacks.write(()) == ""


def test_a_figure_whose_text_says_something_else_is_written_by_its_length():
    """A text with a blank would come apart; one that was typed for another length would read as that one."""
    thin = Measurement(0.0002, "length", "mm", "0.2")
    odd = stacks.Shim(Measurement(0.0400051, "length", "mm", "40"), thin, "")
    apart = stacks.Shim(parse("1 9/16 in", "length"), parse("0.010 in", "length"), "")
    assert stacks.write([odd]) == "40.0051x0.2"
    assert stacks.write([apart]) == "1.5625x0.010 in"
    assert exact(stacks.read(stacks.write([odd]))) == exact([odd])


def test_unlikely_shims_are_asked_about_and_not_refused():
    stack = stacks.read("40x0.04 0.2x40 12x.2 40x1.1 101x.2 40x0.05 40x1 100x0.2")
    asked = stacks.queries(stack, clamp_diameter_m=0.012)
    assert [one.split(":")[0] for one in asked] == [f"Place {place}" for place in range(1, 6)]
    words = [
        "thinner than 0.05",
        "thicker than wide",
        "past the clamp",
        "thicker than 1 mm",
        "wider than 100",
    ]
    assert all(word in one for word, one in zip(words, asked, strict=True))
    assert len(stacks.queries(stack)) == 4


def said(removed, built, side=None):
    rows = stacks.compare(stacks.read(removed), stacks.read(built), side)
    return [row.sentence() for row in stacks.changes(rows)]


def test_differences_are_told_place_by_place():
    assert said("40x0.20 34x0.20 30x0.20", "40x0.20 36x0.20 30x0.20") == [
        "Place 2: 36 × 0.20 in place of 34 × 0.20"
    ]
    assert said("4 x 44x0.20 36x0.10 28x0.15", "3 x 44x0.20 36x0.10 28x0.20 20x0.30", "rebound") == [
        "Rebound, place 4 as taken out: 44 × 0.20 left out",
        "Rebound, place 5: 28 × 0.20 in place of 28 × 0.15",
        "Rebound, place 6: 20 × 0.30 added",
    ]
    assert said("", "") == []
    assert said("40x0.2", "") == ["Place 1 as taken out: 40 × 0.2 left out"]


def test_the_same_length_in_another_unit_or_spelling_is_the_same():
    assert said("38.1x0.254", '1-1/2"x0.010"') == []
    assert said("40x0.20", "40.0x.2") == []
    assert said("38.1x0.254", '1-1/2"x0.0101"') != []


def test_rather_alike_than_two_shims_changed():
    assert said("40x.2 36x.2", "36x.2 32x.2") == [
        "Place 1 as taken out: 40 × .2 left out",
        "Place 2: 32 × .2 added",
    ]


few = st.lists(st.sampled_from(["40x0.2", "36x0.2", "36x0.1", "32x0.2"]), max_size=7)


def fewest(one, other):
    """Count the fewest changes by plain recursion (Levenshtein)."""

    @cache
    def left(i, j):
        if i == len(one) or j == len(other):
            return len(one) - i + len(other) - j
        return min(left(i + 1, j + 1) + (one[i] != other[j]), left(i + 1, j) + 1, left(i, j + 1) + 1)

    return left(0, 0)


@seeded
@given(few, few)
def test_a_comparison_is_whole_in_order_and_the_shortest(out, back):
    removed, built = stacks.read(" ".join(out)), stacks.read(" ".join(back))
    rows = stacks.compare(removed, built)
    assert tuple(row.removed for row in rows if row.removed) == removed
    assert tuple(row.built for row in rows if row.built) == built
    assert [row.out_place for row in rows if row.out_place] == list(range(1, len(removed) + 1))
    assert [row.back_place for row in rows if row.back_place] == list(range(1, len(built) + 1))
    assert len(stacks.changes(rows)) == fewest(tuple(out), tuple(back))
    assert len(stacks.changes(stacks.compare(built, removed))) == len(stacks.changes(rows))
    for row in rows:
        assert (row.kind == "missing") == (row.built is None)
        assert (row.kind == "added") == (row.removed is None)


def test_a_place_within_a_run_that_is_left_out_is_its_last():
    rows = stacks.compare(stacks.read("4x44x.2"), stacks.read("3x44x.2"))
    assert [row.kind for row in rows] == ["same", "same", "same", "missing"]

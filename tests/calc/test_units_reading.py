"""What people type: what is read, what is refused and why, and that nothing else ever comes out."""

import time

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from shopapp.calc import units

seeded = settings(print_blob=True, derandomize=False, deadline=None, max_examples=300)

READ = [
    ('2 3/16"', "length", None, 0.0555625, "in"),
    ("2-3/16 in", "length", None, 0.0555625, "in"),
    ("2–3/16 in", "length", None, 0.0555625, "in"),
    ('2⅝"', "length", None, 0.066675, "in"),
    ('2-⅝"', "length", None, 0.066675, "in"),
    ("⅝”", "length", None, 0.015875, "in"),
    ("5/8″", "length", None, 0.015875, "in"),
    ("5/8''", "length", None, 0.015875, "in"),
    ("5⁄8 in", "length", None, 0.015875, "in"),
    ("2 3/16", "length", "in", 0.0555625, "in"),
    (".625in", "length", None, 0.015875, "in"),
    ("55.6 mm", "length", None, 0.0556, "mm"),
    ("55.6\u00a0MM", "length", None, 0.0556, "mm"),
    ("8 thou", "length", None, 0.0002032, "thou"),
    ("140 psi", "pressure", None, 965266.0210435706, "psi"),
    ("9.7 bar", "pressure", None, 970000.0, "bar"),
    ("965 kPa", "pressure", None, 965000.0, "kPa"),
    ("5 kgf/cm²", "pressure", None, 490332.5, "kgf/cm2"),
    ("32 ft-lb", "torque", None, 43.38617434660481, "lbf*ft"),
    ("32 lbf·ft", "torque", None, 43.38617434660481, "lbf*ft"),
    ("32 lb-ft", "torque", None, 43.38617434660481, "lbf*ft"),
    ("32 ft. lbs.", "torque", None, 43.38617434660481, "lbf*ft"),
    ("384 in-lb", "torque", None, 43.38617434660481, "lbf*in"),
    ("43 Nm", "torque", None, 43.0, "N*m"),
    ("43 N·m", "torque", None, 43.0, "N*m"),
    ("1500 mi", "distance", None, 2414016.0, "mile"),
    ("1,500 mi", "distance", None, 2414016.0, "mile"),
    ("1,234,567.5 km", "distance", None, 1234567500.0, "km"),
    ("2400 km", "distance", None, 2400000.0, "km"),
    ("86 h", "running_time", None, 309600.0, "h"),
    ("1,086 h", "running_time", None, 3909600.0, "h"),
    ("8 fl oz", "volume", None, 0.0002365882365, "US fl oz"),
    ("8 fl. oz.", "volume", None, 0.0002365882365, "US fl oz"),
    ("8 imp fl oz", "volume", None, 0.0002273045, "imp fl oz"),
    ("240 ml", "volume", None, 0.00024, "mL"),
    ("240 cc", "volume", None, 0.00024, "mL"),
    ("1 US qt", "volume", None, 0.000946352946, "US qt"),
    ("68 F", "temperature", None, 293.15, "degF"),
    ("20 °C", "temperature", None, 293.15, "degC"),
    ("20℃", "temperature", None, 293.15, "degC"),
    ("350 lb/in", "spring_rate", None, 61294.392336266734, "lbf/in"),
    ("61 N/mm", "spring_rate", None, 61000.0, "N/mm"),
    ("23 cSt", "viscosity", None, 23.0, "cSt"),
    ("25 lb", "mass", None, 11.33980925, "lb"),
    ("25 lb", "force", None, 111.2055403815125, "lbf"),
    ("45°", "angle", None, 45.0, "degree"),
    ("2 turns", "angle", None, 720.0, "turn"),
    ("1 3/4 turns", "count", None, 1.75, "turn"),
    ("12 clicks", "count", None, 12.0, "click"),
    ("12", "count", None, 12.0, "1"),
    ("1e3 mm", "length", None, 1.0, "mm"),
]


@pytest.mark.parametrize(("text", "kind", "default_unit", "si", "unit"), READ)
def test_reads(text, kind, default_unit, si, unit):
    read = units.parse(text, kind, default_unit)
    assert read == units.Measurement(si=pytest.approx(si, rel=1e-14), kind=kind, unit=unit, text=text)


REFUSED = [
    ("", "length", "No figure"),
    ("  ", "length", "No figure"),
    ('2 3/0"', "length", "fraction bar"),
    ('2 9/8"', "length", "less than one"),
    ('1.5 7/8"', "length", "mixes"),
    ('7/8/2"', "length", "more than one fraction bar"),
    ('2⅝4"', "length", "one figure"),
    ('1.5⅝"', "length", "mixes"),
    ('2 -3/16"', "length", "one figure"),
    ("1 500 mi", "distance", "one figure"),
    ("1.5.2 mm", "length", "more than one decimal point"),
    ("5 psi", "length", "not a unit of length"),
    ("5 furlongs", "length", "not a unit this shop knows"),
    ("5", "length", "has no unit"),
    ("1e400 mm", "length", "too large"),
    ("1e-400 mm", "length", "too small"),
    ("nan", "length", "start with a figure"),
    ("inf mm", "length", "start with a figure"),
    ("-5 mm", "length", "below zero"),
    ("−5 mm", "length", "below zero"),
    ("47,6 mm", "length", "47.6 or as 476"),
    ("1,5 mi", "distance", "1.5 or as 15"),
    ("0,500 mi", "distance", "two ways|0.500 or as 0500"),
    ("1,500 psi", "pressure", "1.500 or as 1500"),
    ("1,50,000 km", "distance", "two ways"),
    ("20°", "temperature", "°C or °F"),
    ("0 K", "temperature", "absolute zero"),
    ("5 mPa", "pressure", "thousandth"),
    ("140 psig", "pressure", "plain psi"),
    ("8 oz", "volume", "weight"),
    ("1 pint", "volume", "US pint"),
    ("3'", "length", "feet"),
    ("5²mm", "length", "not a unit this shop knows"),
    ("٥ mm", "length", "another script"),
    ("５ mm", "length", "another script"),
    ("Ⅷ mm", "length", "another script"),
    ("5\x00 mm", "length", "cannot be read"),
    ("5 \ud800mm", "length", "cannot be read"),
    ("5 mm\u202e", "length", "cannot be read"),
    ("9" * 61, "length", "at most 60"),
    ("5 mm", "speed", "not a kind"),
]


@pytest.mark.parametrize(("text", "kind", "reason"), REFUSED)
def test_refuses_with_its_reason(text, kind, reason):
    with pytest.raises(units.UnitError, match=reason) as caught:
        units.parse(text, kind)
    sentence = str(caught.value)
    assert sentence.endswith(".")
    assert sentence.encode() and sentence.isprintable()


def test_a_decimal_comma_is_a_decimal_sign_and_no_thousand_mark():
    assert units.parse("47,6 mm", "length", decimal_comma=True).si == pytest.approx(0.0476)
    assert units.parse("1,500 km", "distance", decimal_comma=True).si == pytest.approx(1500)
    assert units.parse("47.6 mm", "length", decimal_comma=True).si == pytest.approx(0.0476)
    assert units.parse("1.500 mm", "length", decimal_comma=True).si == pytest.approx(0.0015)
    assert units.parse("1.5 km", "distance", decimal_comma=True).si == pytest.approx(1500)
    for text, kind in (("1.500 km", "distance"), ("1.500 h", "running_time")):
        with pytest.raises(units.UnitError, match="1,500 or as 1500"):
            units.parse(text, kind, decimal_comma=True)
    for text in ("1.500,5 km", "1,5,5 km", "1.500.000 km"):
        with pytest.raises(units.UnitError, match="more than one mark"):
            units.parse(text, "distance", decimal_comma=True)


def test_signed_figures_are_read_where_they_are_wanted():
    assert units.parse("-4 F", "temperature", signed=True).si == pytest.approx(253.15)
    assert units.parse('−2 3/16"', "length", signed=True).to("in") == -2.1875
    assert units.parse('-⅝"', "length", signed=True).to("in") == -0.625
    assert units.parse("+5 mm", "length").to("mm") == pytest.approx(5)
    with pytest.raises(units.UnitError, match="absolute zero"):
        units.parse("-500 F", "temperature", signed=True)


def test_the_text_stays_as_typed():
    assert units.parse(' 2 3/16" ', "length").text == '2 3/16"'
    assert units.parse("1,500 mi", "distance").text == "1,500 mi"


def test_a_default_unit_must_be_of_the_kind():
    with pytest.raises(units.UnitError, match="not a unit of pressure"):
        units.parse("140", "pressure", "mm")


def test_clicks_do_not_become_turns():
    clicks = units.parse("12 clicks", "count")
    assert clicks.to("click") == clicks.to("1") == 12
    with pytest.raises(units.UnitError, match="cannot be counted"):
        clicks.to("turn")


def test_a_long_text_is_refused_at_once():
    started = time.perf_counter()
    with pytest.raises(units.UnitError, match="at most 60"):
        units.parse("1" * 1_000_000, "length", "mm")
    # A generous bound on a busy machine: only the length is looked at.
    assert time.perf_counter() - started < 1


@pytest.mark.parametrize("text", [None, 5, b"5 mm", ["5 mm"]])
def test_what_is_no_text_is_refused(text):
    with pytest.raises(units.UnitError):
        units.parse(text, "length")


kinds = st.sampled_from(sorted(units.UNITS_BY_KIND))
awkward = st.text(
    alphabet=st.one_of(
        st.sampled_from("0123456789 /.,-−+eE'\"”″⅝½²³°·*^()nmbarpsiftlbKkFC\x00\t\n\ud800٣五Ⅷ\u202e\u00a0"),
        st.characters(),
    ),
    max_size=70,
)


@seeded
@given(awkward, kinds, st.sampled_from([None, "mm", "psi", "1", ""]), st.booleans(), st.booleans())
@example("1" + "0" * 30 + " mm", "length", None, False, False)
@example("9" * 60, "count", None, False, False)
@example("1e9999 psi", "pressure", None, False, False)
@example("İ mm", "length", None, False, False)
@example("1 " + "m*" * 20 + "m", "volume", None, False, False)
def test_any_text_gives_a_measurement_or_a_sentence(text, kind, default_unit, decimal_comma, signed):
    try:
        read = units.parse(text, kind, default_unit, decimal_comma=decimal_comma, signed=signed)
    except units.UnitError as error:
        assert str(error).encode()
        assert str(error).endswith(".")
        return
    assert read.kind == kind
    assert abs(read.si) < float("inf")
    assert signed or kind == "temperature" or read.si >= 0
    assert read.to(read.unit) == read.to(read.unit)


@seeded
@given(st.text(max_size=80), st.text(max_size=80))
def test_any_name_converts_or_gives_a_sentence(source, target):
    for names in ((source, target), (source, "mm"), ("psi", target)):
        for call in (units.convert, units.convert_difference):
            try:
                assert abs(call(3.5, *names)) < float("inf")
            except units.UnitError as error:
                assert str(error).encode()


offered = st.sampled_from([(kind, name) for kind, names in units.UNITS_BY_KIND.items() for name in names])


@seeded
@given(offered, st.floats(min_value=1e-6, max_value=1e9))
def test_what_is_written_plainly_is_read_back(pair, value):
    kind, unit = pair
    text = f"{value!r}".replace("e+", "e")
    read = units.parse(f"{text} {unit}" if unit != "1" else text, kind)
    assert read.unit == unit
    noise = 1e-12 * max(1, value) if kind != "temperature" else 1e-12 * (value + 500)
    assert read.to(unit) == pytest.approx(value, abs=noise)
    assert units.parse(text, kind, unit).si == read.si


@seeded
@given(st.integers(0, 200), st.sampled_from([2, 4, 8, 16, 32, 64]), st.data())
def test_every_tape_reading_is_read_back_and_printed_the_same(whole, denominator, data):
    part = data.draw(st.integers(0, denominator - 1))
    text = units.as_fraction((whole * denominator + part) / denominator, denominator)
    read = units.parse(f'{text}"', "length")
    assert read.to("in") == pytest.approx(whole + part / denominator, rel=1e-15)
    assert units.as_fraction(read.to("in"), denominator) == text
    assert units.fmt(read.si, "in", "length", denominator=denominator) == read.text

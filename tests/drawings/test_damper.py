"""The half-section obeys its numbers, says what is not measured, and reads the same as a table."""

import math
import random
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from shopapp.drawings.damper import (
    Build,
    DamperNumbers,
    Dimension,
    SectionWords,
    Spring,
    damper_section,
    damper_table,
)
from shopapp.drawings.damper.layout import Layout, layout
from shopapp.drawings.damper.numbers import WITH_IFP, WITH_TANK, sizes
from tests.conftest import SEED
from tests.drawings.svg_words import overlaps, words_in

FULL = DamperNumbers(
    eye_centres=Dimension(700, "700 mm"),
    stroke=Dimension(250, "250 mm"),
    body_bore=Dimension(60, "60 mm"),
    rod_diameter=Dimension(19, "19 mm"),
    preload=Dimension(55, "55 mm"),
    reservoir_bore=Dimension(60, "60 mm"),
    reservoir_length=Dimension(200, "200 mm"),
    ifp_depth=Dimension(80, "80 mm"),
    gas="10 bar at 20 °C",
    oil="1120 mL",
    springs=(Spring(100, "35 × 100"), Spring(450, "61 × 450")),
)
NAMES = [
    "eye_centres", "stroke", "body_bore", "rod_diameter", "preload", "reservoir_bore", "reservoir_length", "ifp_depth",
]  # fmt: skip


def placed(numbers: DamperNumbers) -> Layout:
    return layout(sizes(numbers), 600, drop=40)


def with_mm(name: str, mm: float) -> DamperNumbers:
    return replace(FULL, **{name: Dimension(mm)})


def test_lengths_are_drawn_to_one_scale() -> None:
    """Seen red with the rod drawn to a scale of its own."""
    place = placed(FULL)
    body, tank, scale = place.body, place.reservoir, place.scale
    assert tank is not None
    assert place.off_scale == frozenset()
    assert body.right_eye - body.left_eye == pytest.approx(700 * scale)
    assert body.retainer - 8 - body.seal == pytest.approx(250 * scale)
    assert 2 * body.half == pytest.approx(60 * scale)
    assert 2 * body.rod == pytest.approx(19 * scale)
    assert body.ring - body.face == pytest.approx(55 * scale)
    assert 2 * tank.half == pytest.approx(60 * scale)
    assert tank.right - tank.left == pytest.approx(200 * scale)
    assert tank.right - tank.gas_face == pytest.approx(80 * scale)


def test_no_spring_is_drawn_longer_than_its_free_length() -> None:
    """Random sets: together they never pass the retainer, singly never their free length. Seen red with
    springs stretched to the room, and with springs that nothing squeezes."""
    seed = SEED
    print(f"seed {seed}")
    chance = random.Random(seed)
    for _ in range(300):
        springs = tuple(Spring(chance.uniform(20, 900)) for _ in range(chance.randint(1, 3)))
        numbers = replace(FULL, springs=springs, preload=Dimension(chance.uniform(5, 150)))
        place = placed(numbers)
        assert place.body.coils[-1].end <= place.body.retainer + 0.01
        for spring, coil in zip(springs, place.body.coils, strict=True):
            assert spring.free_mm is not None
            assert coil.end - coil.start <= spring.free_mm * place.scale + 0.01


def test_a_loose_spring_leaves_a_gap() -> None:
    """Seen red with springs stretched to the room."""
    place = placed(replace(FULL, springs=(Spring(120),)))
    assert place.body.coils[0].end < place.body.retainer - 50


@pytest.mark.parametrize(
    ("name", "mm"),
    [
        ("stroke", 690),
        ("preload", 600),
        ("body_bore", 400),
        ("rod_diameter", 59),
        ("ifp_depth", 200),
        ("reservoir_length", 900),
    ],
)
def test_what_does_not_fit_says_it_is_not_to_scale(name: str, mm: float) -> None:
    """Seen red where only what was made longer was noted, and without the words."""
    assert name in placed(with_mm(name, mm)).off_scale
    assert damper_section(with_mm(name, mm), text_size=13).count("not to scale") == 1
    assert "not to scale" not in damper_section(FULL)


def dashed(svg: str, part: str) -> int:
    """Count the dashed lines or outlines; the axes' chain lines are not counted."""
    nodes = ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}" + part)
    return sum(node.get("stroke-dasharray") not in (None, "14 3 3 3") for node in nodes)


@pytest.mark.parametrize("name", NAMES)
def test_an_unmeasured_dimension_is_dashed_and_asks(name: str) -> None:
    """Seen red with the IFP's depth taken for measured, and with nothing in place of the question mark."""
    measured, asked = damper_section(FULL), damper_section(replace(FULL, **{name: Dimension()}))
    assert "?" not in measured
    assert asked.count("?") == 1
    part = "line" if name in ("eye_centres", "stroke") else "rect"
    assert dashed(asked, part) > dashed(measured, part)


@pytest.mark.parametrize("name", [*NAMES, "gas", "oil"])
def test_a_dimension_nobody_asks_for_is_left_out(name: str) -> None:
    """Seen red with every figure asked for."""
    svg = damper_section(replace(FULL, **{name: None}))
    assert f'data-dim="{name}"' not in svg
    assert f'data-dim="{name}"' in damper_section(FULL)


def test_the_table_says_what_the_drawing_shows() -> None:
    """In the drawing's own words, not in its label. Seen red with figures of one decimal, and with springs
    cut short."""
    rows = {name: shown for name, _, shown in damper_table(FULL)}
    written = [words for words, *_box in words_in(damper_section(FULL))]
    for name in [*NAMES, "gas", "oil"]:
        assert any(rows[name] in words for words in written), name
    assert (rows["spring_1"], rows["spring_2"]) == ("35 × 100", "61 × 450")
    bare = damper_table(DamperNumbers(stroke=Dimension(), gas=""))
    assert [shown for _, _, shown in bare] == ["not measured", "not measured"]


def test_the_screen_reader_hears_every_figure() -> None:
    """Seen red with the last row left out."""
    label = ElementTree.fromstring(damper_section(FULL)).get("aria-label")
    assert label is not None
    assert all(f"{caption}: {shown}" in label for _, caption, shown in damper_table(FULL))


def test_the_open_dimension_is_boxed_and_links_lead_to_entries() -> None:
    """Seen red without the box, and with links that lead nowhere."""
    plain, opened = damper_section(FULL), damper_section(FULL, opened="stroke", links={"stroke": '#s"><b>'})
    assert opened.count("<rect") == plain.count("<rect") + 2
    link = ElementTree.fromstring(opened).find(".//{http://www.w3.org/2000/svg}a")
    assert link is not None and link.get("href") == '#s"><b>'
    assert link.get("aria-label") == "Stroke: 250 mm"
    assert 'role="group"' in opened and 'role="img"' in plain


def test_hostile_words_stay_words() -> None:
    """Seen red without the pen's escaping."""
    hostile = "</text><script>x</script>&\x00\ud800"
    numbers = replace(
        FULL, stroke=Dimension(250, hostile), gas=hostile, oil=hostile, springs=(Spring(None, hostile),)
    )
    read = ElementTree.fromstring(damper_section(numbers, words=SectionWords(title=hostile)))
    assert not [node for node in read.iter() if node.tag.endswith("script")]


def test_only_attributes_and_every_word_inside_the_sheet() -> None:
    """Words as long as anybody types them. Seen red with a style on the root, and with words that are not cut."""
    long = "unreadable" * 9
    for numbers in (FULL, replace(FULL, gas=long, stroke=Dimension(250, long))):
        svg = damper_section(numbers)
        assert not re.search(r"\s(?:class|style|id)=|<style", svg)
        width = float(str(ElementTree.fromstring(svg).get("width")))
        for words, left, _top, right, _bottom in words_in(svg):
            assert left >= 0 and right <= width, words


def test_any_finite_numbers_draw() -> None:
    """Random numbers of any size, some missing: always well formed, never a NaN.

    Seen red with eye centres of nought taken as they are.
    """
    seed = SEED
    print(f"seed {seed}")
    chance = random.Random(seed)
    for _ in range(60):
        given = {name: Dimension(chance.choice((None, 0, 10 ** chance.uniform(-6, 9)))) for name in NAMES}
        svg = damper_section(
            DamperNumbers(
                **given,
                build=chance.choice(list(Build)),
                gas="",
                springs=(Spring(10 ** chance.uniform(-3, 6)),),
            )
        )
        ElementTree.fromstring(svg)
        assert "nan" not in svg and "inf" not in svg


@pytest.mark.parametrize("mm", [math.nan, math.inf, -1])
def test_a_length_that_is_none_is_refused(mm: float) -> None:
    """Seen red with either check taken out."""
    with pytest.raises(ValueError, match="not"):
        Dimension(mm)
    with pytest.raises(ValueError, match="not"):
        Spring(mm)


KINDS = [pytest.param(build, id=build.name.lower()) for build in Build]
BARE = DamperNumbers(**{name: Dimension() for name in NAMES}, gas="", oil="")


@pytest.mark.parametrize("build", KINDS)
def test_each_construction_draws_what_it_has_and_nothing_else(build: Build) -> None:
    """Seen red with a reservoir for each of them."""
    svg = damper_section(replace(FULL, build=build))
    tank = {f'data-dim="{name}"' in svg for name in ("reservoir_bore", "reservoir_length")}
    assert tank == {build in WITH_TANK}
    assert ('data-dim="ifp_depth"' in svg) == (build in WITH_IFP)
    assert (placed(replace(FULL, build=build)).reservoir is not None) == (build in WITH_TANK)
    rows = [name for name, _caption, _shown in damper_table(replace(FULL, build=build))]
    assert ("ifp_depth" in rows, "reservoir_bore" in rows) == (build in WITH_IFP, build in WITH_TANK)


def test_no_two_constructions_look_alike() -> None:
    """Without a word or a figure. Seen red with an IFP drawn in a bladder's reservoir."""
    drawn = {damper_section(replace(FULL, build=build), shown=set()) for build in Build}
    lines = {re.sub(r"""aria-label="[^"]*"|<text.*?</text>""", "", svg) for svg in drawn}
    assert len(lines) == len(Build)


@pytest.mark.parametrize("mm", [20.0, 45.0, 90.0])
def test_an_ifp_in_the_body_stands_at_its_depth(mm: float) -> None:
    """Seen red with the depth taken from the seal head."""
    place = placed(replace(FULL, build=Build.IFP_BODY, ifp_depth=Dimension(mm)))
    assert place.off_scale == frozenset()
    assert place.body.ifp is not None
    assert place.body.ifp - place.body.face == pytest.approx(mm * place.scale)


@pytest.mark.parametrize("build", [Build.EMULSION, Build.TWIN_TUBE])
def test_a_level_that_nobody_measures_is_dashed_asks_and_follows_no_number(build: Build) -> None:
    """Seen red with a level placed by the oil's volume, which no figure turns into a height."""
    numbers = replace(FULL, build=build)
    svg = damper_section(numbers)
    assert "oil level ?" in svg
    assert dashed(svg, "line") > dashed(damper_section(replace(FULL, build=Build.RESERVOIR)), "line")
    assert placed(numbers).body.level == placed(replace(numbers, oil="3 mL", gas="1 bar")).body.level
    assert ("level", "Oil level", "not measured") in damper_table(numbers)


def test_a_rod_goes_right_through_where_it_does() -> None:
    """Seen red with the end block left at the cap."""
    place = placed(replace(FULL, build=Build.THROUGH_ROD))
    other = placed(FULL)
    assert place.body.block > place.body.cap
    assert other.body.block == other.body.cap


@pytest.mark.parametrize("build", KINDS)
@pytest.mark.parametrize("size", [13, 16, 18])
def test_no_words_lie_on_each_other(build: Build, size: int) -> None:
    """Measured and unmeasured, in full and as the bench shows it. Seen red with words that take the first row."""
    for numbers in (replace(FULL, build=build), replace(BARE, build=build)):
        for shown in (None, {"eye_centres", "stroke", "rod_diameter", "preload", "ifp_depth", "gas"}):
            svg = damper_section(numbers, text_size=size, shown=shown)
            assert not overlaps(words_in(svg)), overlaps(words_in(svg))


def test_random_dampers_keep_their_words_apart() -> None:
    """Seen red with words kept clear of the parts alone."""
    seed = SEED
    print(f"seed {seed}")
    chance = random.Random(seed)
    for _ in range(40):
        eyes = chance.uniform(250, 900)
        sizes_mm = {
            "eye_centres": eyes,
            "stroke": eyes * chance.uniform(0.1, 0.4),
            "body_bore": chance.uniform(25, 70),
        }
        given = {
            name: Dimension(chance.choice((None, sizes_mm.get(name, eyes * chance.uniform(0.02, 0.3)))))
            for name in NAMES
        }
        numbers = DamperNumbers(**given, build=chance.choice(list(Build)), gas="145 psi", oil="")
        svg = damper_section(numbers, text_size=16)
        assert not overlaps(words_in(svg)), (seed, numbers)


def test_what_is_not_written_out_is_still_drawn_by_its_number() -> None:
    """Seen red with a usual bore wherever the bore is not written out."""

    def lines(numbers: DamperNumbers) -> str:
        return re.sub(r'aria-label="[^"]*"', "", damper_section(numbers, shown={"stroke"}))

    assert 'data-dim="body_bore"' not in lines(FULL)
    assert lines(FULL) != lines(with_mm("body_bore", 40))

"""Stacks are drawn where their figures say, differences by line and hatching, and nothing covers another's words."""

import math
import random
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from shopapp.calc import stacks
from shopapp.drawings.stack import Disc, Fit, Row, StackWords, discs, rows, stack_comparison, stack_drawing
from shopapp.drawings.stack.parts import AWAITED, FORMER
from shopapp.drawings.stack.scale import spread
from shopapp.drawings.strokes import text_width
from tests.conftest import SEED

SVG = "{http://www.w3.org/2000/svg}"
OUT = stacks.read("4x44x0.20 36x0.10c 40x0.20 28x0.15 20x0.30")
BACK = stacks.read("3x44x0.20 36x0.10c 40x0.20 28x0.20 24x0.20 20x0.30")
FIT = Fit(piston_mm=46, clamp_mm=12)


def drawing(**changed: object) -> str:
    given = {"fit": FIT, **changed}
    return stack_drawing(discs(OUT), discs(stacks.read("2x38x0.25 34x0.20")), **given)  # type: ignore[arg-type]


def comparison(out: str, back: str, **changed: object) -> str:
    places = stacks.compare(stacks.read(out), stacks.read(back))
    return stack_comparison(rows(places), **{"fit": FIT, **changed})  # type: ignore[arg-type]


def box_of(rect: ElementTree.Element) -> tuple[float, float, float, float]:
    x, y, w, h = (float(str(rect.get(name))) for name in ("x", "y", "width", "height"))
    return x, y, x + w, y + h


def placed(svg: str) -> dict[str, tuple[float, float, float, float]]:
    """Give every disc by side and place, and the parts that hold them."""
    found = {}
    for group in ElementTree.fromstring(svg).iter(f"{SVG}g"):
        name = group.get("data-place") or group.get("data-part")
        rect = group.find(f"{SVG}rect")
        if name and rect is not None:
            found[name] = box_of(rect)
    return found


def factor_of(svg: str) -> float:
    told = re.search(r"thickness drawn (\d+) times true", svg)
    return float(told[1]) if told else 1.0


def words_of(svg: str) -> Iterator[tuple[str, float, float, float, float]]:
    """Give every text with its box, by the estimate the drawing itself uses, and the height of its capitals."""
    for node in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        size, words = float(str(node.get("font-size"))), str(node.text)
        x, y, wide = float(str(node.get("x"))), float(str(node.get("y"))), text_width(words, size)
        left = x - {"end": wide, "middle": wide / 2}.get(str(node.get("text-anchor")), 0.0)
        yield words, left, y - size * 0.75, left + wide, y


def test_every_disc_is_where_its_figures_say() -> None:
    """One scale across, one along; the first lies on the piston's face, each on the one before. Seen red with
    a factor along the axis other than the one that is said."""
    svg = drawing()
    at = placed(svg)
    across = (at["piston"][2] - at["piston"][0]) / 46
    for side, stack, direction in (
        ("compression", OUT, -1),
        ("rebound", stacks.read("2x38x0.25 34x0.20"), 1),
    ):
        edge = at["piston"][1] if direction < 0 else at["piston"][3]
        for place, shim in enumerate(stack, start=1):
            left, top, right, bottom = at[f"{side} {place}"]
            assert right - left == pytest.approx(shim.diameter.to("mm") * across, abs=0.05)
            assert (left + right) / 2 == pytest.approx((at["piston"][0] + at["piston"][2]) / 2, abs=0.05)
            thick = shim.thickness.to("mm") * across * factor_of(svg)
            assert bottom - top == pytest.approx(thick, abs=0.05)
            assert (bottom if direction < 0 else top) == pytest.approx(edge, abs=0.05)
            edge = top if direction < 0 else bottom
    assert f'data-place="compression {len(OUT)}"' in svg and len(at) == len(OUT) + 3 + 3


def test_no_words_cover_other_words() -> None:
    """Random stacks, thin beside thick: every text has its own room, and lies on the sheet. Seen red with
    each word at its own disc's height."""
    print(f"seed {SEED}")
    chance = random.Random(SEED)

    def stack(most: int) -> str:
        return " ".join(
            f"{chance.randint(16, 44)}x{chance.choice((0.05, 0.1, 0.2, 0.3, 0.5))}"
            for _ in range(chance.randint(0, most))
        )

    for _ in range(60):
        size = chance.choice((12, 16, 18))
        told = {"width": {12: 302, 16: 390, 18: 420}[size], "text_size": size}
        for svg in (
            stack_drawing(discs(stacks.read(stack(20))), discs(stacks.read(stack(20))), **told),
            comparison(stack(14), stack(14), name="Compression", **told),
        ):
            root = ElementTree.fromstring(svg)
            width, height = float(str(root.get("width"))), float(str(root.get("height")))
            written = list(words_of(svg))
            for words, left, top, right, bottom in written:
                assert left >= 0 and right <= width + 1 and top >= 0 and bottom <= height, words
            for index, (one, l1, t1, r1, b1) in enumerate(written):
                for other, l2, t2, r2, b2 in written[index + 1 :]:
                    assert r1 <= l2 + 0.1 or r2 <= l1 + 0.1 or b1 <= t2 + 0.1 or b2 <= t1 + 0.1, (one, other)


def test_words_stand_clear_of_the_discs() -> None:
    """Seen red with a narrower column for the balloons."""
    svg = drawing()
    discs_at = [area for name, area in placed(svg).items() if name != "pin"]
    for words, left, _, right, bottom in words_of(svg):
        for area in discs_at:
            apart = right <= area[0] or left >= area[2] or bottom <= area[1] or bottom >= area[3] + 12
            assert apart, words


def test_places_are_numbered_from_the_face() -> None:
    """Seen red with the places counted from the outer end."""
    heights = {words: [] for words in "123"}  # type: dict[str, list[float]]
    for words, _, top, _, _ in words_of(drawing()):
        if words in heights:
            heights[words].append(top)
    piston = placed(drawing())["piston"]
    above = [min(heights[words]) for words in "123"]
    below = [max(heights[words]) for words in "123"]
    assert piston[1] > above[0] > above[1] > above[2]
    assert piston[3] < below[0] < below[1] < below[2]


def test_a_crossover_shim_is_solid_and_told() -> None:
    """Seen red with every disc drawn open."""
    solid = 'fill="currentColor" stroke="currentColor" stroke-width="1.4"'
    plain = stack_drawing(discs(stacks.read("40x.2 24x.1 38x.2")), None)
    marked = stack_drawing(discs(stacks.read("40x.2 24x.1c 38x.2")), None)
    assert (plain.count(solid), marked.count(solid)) == (0, 2)
    assert "crossover shim" not in plain and marked.count("crossover shim") == 2


def test_what_is_not_known_is_dashed_and_asks() -> None:
    """Seen red with a solid clamp, and without its question mark."""
    asked, known = drawing(fit=Fit()), drawing()
    assert (asked.count("?"), known.count("?")) == (2, 0)
    assert asked.count("stroke-dasharray") == known.count("stroke-dasharray") + 3
    assert "clamp ⌀ 12" in known


def test_an_empty_side_says_so_and_one_not_asked_for_is_left_out() -> None:
    """In the drawing, not in its label alone. Seen red with the side's bare name."""
    assert ">Rebound: no shims recorded<" in stack_drawing(discs(OUT), ())
    assert "Rebound" not in stack_drawing(discs(OUT), None)
    assert "Compression" not in stack_drawing(None, discs(OUT))
    assert ">Rebound: no shims recorded<" in stack_comparison((), name="Rebound")


def kinds(svg: str) -> list[tuple[str, list[str | None], int]]:
    """Give each row's kind, the line types of its halves, and how many of them are hatched."""
    found = []
    for group in ElementTree.fromstring(svg).iter(f"{SVG}g"):
        if group.get("data-row"):
            boxes = list(group.iter(f"{SVG}rect"))
            hatched = len(list(group.iter(f"{SVG}path")))
            found.append((str(group.get("data-row")), [b.get("stroke-dasharray") for b in boxes], hatched))
    return found


def test_differences_are_marked_by_line_and_hatching_not_by_colour() -> None:
    """Seen red without hatching on the left, and without the outline of what was not there."""
    told = kinds(comparison("40x.2 36x.2 30x.2 20x.3", "40x.2 36x.1 28x.3 24x.4 20x.3"))
    assert told[0] == ("same", [None, None], 0)
    assert told[1] == ("changed", [None, None], 2)
    assert ("added", [FORMER, None], 1) in told
    assert ("missing", [None, FORMER], 1) in kinds(comparison("40x.2 36x.2", "40x.2"))
    svg = comparison("40x.2 36x.2 20x.3", "40x.2 36x.1")
    assert 'data-ink="out"' not in svg and 'data-ink="dim"' not in svg


def test_a_half_reaches_from_the_rod_to_its_radius() -> None:
    """Seen red with every half as wide as the piston."""
    svg = comparison("40x.2 36x.2", "40x.2 30x.3")
    at = placed(svg)
    across, centre = (at["piston"][2] - at["piston"][0]) / 46, (at["piston"][0] + at["piston"][2]) / 2
    group = next(g for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if g.get("data-row") == "changed")
    left, right = (box_of(rect) for rect in group.iter(f"{SVG}rect"))
    assert centre - left[0] == pytest.approx(18 * across, abs=0.05)
    assert right[2] - centre == pytest.approx(15 * across, abs=0.05)
    assert left[2] == pytest.approx(at["pin"][0], abs=0.05) and right[0] == pytest.approx(
        at["pin"][2], abs=0.05
    )
    assert (right[3] - right[1]) / (left[3] - left[1]) == pytest.approx(1.5, abs=0.01)
    assert (left[1] + left[3]) / 2 == pytest.approx((right[1] + right[3]) / 2, abs=0.05)


def test_both_sides_come_out_at_one_scale() -> None:
    """Seen red with each side scaled by its own discs."""
    here = rows(stacks.compare(stacks.read("40x.2 36x.2"), stacks.read("40x.2")))
    other = rows(stacks.compare(stacks.read("44x.5 18x.4 18x.5"), stacks.read("44x.5 18x.4")))
    alone, beside = stack_comparison(here), stack_comparison(here, like=other)
    facing = stack_comparison(other, like=here)
    assert factor_of(alone) != factor_of(beside) == factor_of(facing)
    assert placed(beside)["piston"][::2] == placed(facing)["piston"][::2]
    assert placed(beside)["pin"][::2] == placed(facing)["pin"][::2]


def test_rows_lie_on_each_other_and_never_over() -> None:
    """Seen red with rows as high as their words, whatever their discs."""
    svg = comparison("40x.5 36x.05 36x.05 30x.2", "40x.1 36x.3 30x.2 28x.1")
    ends = []
    for group in ElementTree.fromstring(svg).iter(f"{SVG}g"):
        if group.get("data-row"):
            areas = [box_of(rect) for rect in group.iter(f"{SVG}rect")]
            ends.append((min(a[1] for a in areas), max(a[3] for a in areas)))
    at = placed(svg)
    assert ends[0][0] >= at["piston"][3] - 0.05 and at["clamp"][1] >= ends[-1][1] - 0.05
    assert all(upper[1] <= lower[0] + 0.05 for upper, lower in pairwise(ends))


def test_differences_are_numbered_as_the_list_beside_them() -> None:
    """Seen red with every row counted, in the drawing and in its label."""
    places = stacks.compare(OUT, BACK)
    svg = stack_comparison(rows(places), name="Compression", fit=FIT)
    count = len(stacks.changes(places))
    label = str(ElementTree.fromstring(svg).get("aria-label"))
    assert count == 3
    assert [int(n) for n in re.findall(r"difference (\d+)", label)] == list(range(1, count + 1))
    assert [int(n) for n in re.findall(r"<circle[^>]*/><text[^>]*>(\d+)<", svg)] == list(range(1, count + 1))


def test_while_building_what_is_still_to_come_is_dashed_with_a_question() -> None:
    """Seen red with what is left out of a built stack awaited still."""
    places = stacks.compare(OUT, OUT[:4])
    building, built = (stack_comparison(rows(places, building=now), fit=FIT) for now in (True, False))
    assert building.count(f'stroke-dasharray="{AWAITED}"') == len(OUT) - 4 and ">?<" in building
    assert f'="{AWAITED}"' not in built and built.count("left out") == 2 * (len(OUT) - 4)
    assert [row.kind for row in rows(stacks.compare(OUT, OUT[1:5]), building=True)][:1] != ["awaited"]


def test_the_screen_reader_hears_every_shim() -> None:
    """Seen red with places counted from nought, and with a change told as alike."""
    label = str(ElementTree.fromstring(drawing()).get("aria-label"))
    for place, shim in enumerate(OUT, start=1):
        assert f"Place {place}: {stacks.label(shim)}" in label
    assert "Place 5: 36 × 0.10, crossover shim" in label
    told = str(ElementTree.fromstring(comparison("40x.2 36x.2 30x.1", "40x.2 36x.3")).get("aria-label"))
    assert "40 × .2, alike" in told and "36 × .3 in place of 36 × .2, difference 1" in told
    assert "30 × .1, left out, difference 2" in told


def test_the_open_place_is_boxed_in_blue() -> None:
    """Seen red with the next place in blue, and with none."""
    plain, opened = drawing(), drawing(opened=("compression", 2))
    assert (plain.count('data-ink="dim"'), opened.count('data-ink="dim"')) == (0, 2)
    assert 'data-ink="dim" data-place="compression 2"' in opened
    assert opened.count("<rect") == plain.count("<rect") + 1
    one = comparison("40x.2 36x.2", "40x.2 36x.1", opened=2)
    assert one.count('data-ink="dim"') == 2 and 'font-weight="700"' in one


HOSTILE = "</text><script>x</script>&\x00\ud800" * 9


def test_hostile_words_stay_words_and_on_the_sheet() -> None:
    """Seen red without the escaping, without the cut to the column, and with words read as a format."""
    disc = Disc(40, 0.2, HOSTILE)
    words = StackWords(
        title=HOSTILE, clamp="</g>{factor}{x}", thicker="<b>{factor}{x}", left_out="<i>", compression="<u>"
    )
    both = (
        stack_drawing((disc, disc), (disc,), words=words),
        stack_comparison(
            (Row("same", disc, disc, 1, 1), Row("missing", disc, None, 2)), name="<p>", words=words
        ),
    )
    for svg in both:
        svg.encode("utf-8")
        names = {node.tag.removeprefix(SVG) for node in ElementTree.fromstring(svg).iter()}
        assert names <= {"svg", "g", "rect", "path", "line", "circle", "text"}
        assert not re.search(r"\s(?:class|style|id)=|<style", svg)
        drawn = [(words, right) for words, _, _, right, _ in words_of(svg) if "script" in words]
        assert all(right <= 401 for _, right in drawn)


@pytest.mark.parametrize("mm", [math.nan, math.inf, -1, 0])
def test_a_figure_that_is_none_is_refused(mm: float) -> None:
    """Seen red with a check of the sign alone."""
    for make in (
        lambda: Disc(mm, 0.2),
        lambda: Disc(40, mm),
        lambda: Fit(piston_mm=mm),
        lambda: Fit(clamp_mm=mm),
    ):
        with pytest.raises(ValueError, match="more than zero"):
            make()


@pytest.mark.parametrize(
    ("kind", "out", "back"),
    [("odd", 1, 1), ("same", 1, 0), ("changed", 0, 1), ("missing", 1, 1), ("added", 1, 1), ("awaited", 0, 0)],
)
def test_a_row_has_the_discs_of_its_kind(kind: str, out: int, back: int) -> None:
    """Seen red without the check of the kind, and without that of the discs."""
    disc = Disc(40, 0.2)
    with pytest.raises(ValueError, match="kind"):
        Row(kind, disc if out else None, disc if back else None)


def test_any_finite_figures_draw() -> None:
    """Seen red with each stroke of a hatching drawn, whatever its size."""
    seed = SEED
    print(f"seed {seed}")
    chance = random.Random(seed)

    def any_disc() -> Disc:
        return Disc(10 ** chance.uniform(-6, 9), 10 ** chance.uniform(-6, 9))

    stacks_of_any = [[any_disc() for _ in range(chance.randint(0, 60))] for _ in range(60)]
    fits = [Fit(10 ** chance.uniform(-3, 6), 10 ** chance.uniform(-3, 6)) for _ in stacks_of_any]
    for stack, fit in [([Disc(1, 1000)], Fit()), *zip(stacks_of_any, fits, strict=True)]:
        pairs = [Row("changed", one, replace(one, thickness_mm=one.thickness_mm * 2), 1, 1) for one in stack]
        for svg in (stack_drawing(stack, stack, fit=fit), stack_comparison(pairs, fit=fit)):
            ElementTree.fromstring(svg)
            assert len(svg) < 2_000_000
            assert "nan" not in svg and "inf" not in svg
            assert not re.search(r'(?:width|height|r)="-', svg)


def test_the_tallest_stack_keeps_to_the_sheet() -> None:
    """Thick ones among many thin: less thickened than usual rather than without end. Seen red with discs
    thickened to their words' height, however many."""
    svg = stack_drawing([Disc(40, 0.05)] * 31 + [Disc(40, 1)] * 29, None)
    assert 3000 < float(str(ElementTree.fromstring(svg).get("height"))) < 4300
    assert factor_of(svg) < factor_of(stack_drawing([Disc(40, 0.05)] * 31, None))


def test_words_that_would_meet_move_as_little_as_they_must() -> None:
    """Seen red with a first word before the edge, and with all moved one way."""
    assert spread([0, 100, 200], 20) == [0, 100, 200]
    assert spread([100, 105], 20) == [92.5, 112.5]
    assert spread([1, 2, 3], 10) == [0, 10, 20]
    assert spread([], 10) == []
    seed = SEED
    print(f"seed {seed}")
    chance = random.Random(seed)
    for _ in range(100):
        wanted = sorted(chance.uniform(0, 300) for _ in range(chance.randint(1, 20)))
        moved = spread(wanted, 20)
        assert all(b - a >= 20 - 1e-9 for a, b in pairwise(moved)) and moved[0] >= -1e-9

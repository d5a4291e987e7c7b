"""Limits: advisory with a reason, absolute for nobody, as found only recorded, moved to the body's temperature."""

from __future__ import annotations

import pytest

from shopapp.bench import figures, limits
from shopapp.bench.limits import Limits
from shopapp.bench.queries.sheet import turns_of
from shopapp.bench.report_computed import computed
from shopapp.bench.report_record import read
from shopapp.calc import gas, units
from shopapp.calc.units import parse
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Refused
from shopapp.specs.models import ServiceSpec
from tests.bench.make import Bench

PSI = parse("1 psi", "pressure").si
C20, C42 = 293.15, 315.15
CHARGE = Limits(
    low=130 * PSI, target=140 * PSI, high=150 * PSI, low_text="130 psi", target_text="140 psi",
    high_text="150 psi", unit="psi", most=200 * PSI, most_text="200 psi",
)  # fmt: skip


@pytest.mark.parametrize(
    ("psi", "side", "outside"),
    [
        (129.99, "below", "advisory"), (130, "inside", ""), (140, "inside", ""), (150, "inside", ""),
        (150.01, "above", "advisory"), (200, "above", "advisory"), (200.01, "above", "absolute"), (None, "none", ""),
    ],
)  # fmt: skip
def test_where_a_reading_lies(psi: float | None, side: str, outside: str) -> None:
    found = limits.judge(CHARGE, None if psi is None else psi * PSI)
    assert (found.side, found.outside) == (side, outside)


def test_140_psi_at_20_degrees_is_151_9_psi_at_42() -> None:
    moved = limits.at_temperature(CHARGE, C42, ambient_pa=101325.0)
    assert moved.target is not None
    assert round(moved.target / PSI, 1) == 151.9
    assert moved.target_text == "151.9 psi"
    assert moved.moved_from == "20 °C"
    assert limits.judge(moved, 152 * PSI).side == "inside"
    assert limits.judge(CHARGE, 152 * PSI).side == "above"


def test_the_bodys_maximum_stays_on_a_warm_body_and_falls_on_a_cold_one() -> None:
    warm = limits.at_temperature(CHARGE, C42, ambient_pa=101325.0)
    cold = limits.at_temperature(CHARGE, 263.15, ambient_pa=101325.0)
    assert warm.most == CHARGE.most
    assert cold.most is not None
    assert cold.most < 200 * PSI
    # What is at the cold maximum is at the sheet's maximum once the body is at 20 °C.
    assert gas.gauge_at_temperature(cold.most, 263.15, C20) == pytest.approx(200 * PSI, rel=1e-9)


def test_the_charge_to_set_today() -> None:
    found = figures.charge(CHARGE, C42, None)
    assert found.text == "151.9 psi"
    assert "42 °C" in found.words
    assert figures.charge(CHARGE, None, None).si is None
    assert figures.charge(None, C42, None).si is None


def test_the_shops_height_counts(bench_free_shop: object = None) -> None:
    low = gas.gauge_at_temperature(140 * PSI, C20, C42, ambient_pa=gas.ambient_at(0))
    high = gas.gauge_at_temperature(140 * PSI, C20, C42, ambient_pa=gas.ambient_at(2000))
    assert low > high


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        ("2 in", "2 1/8 in", "1.59 turns towards the spring"),
        ("2 1/8 in", "2 in", "1.59 turns away from the spring"),
        ("2 in", "2 in", "stands at"),
        ("", "2 in", "Read the adjuster"),
        ("2 in", "", "not read on arrival"),
    ],
)
def test_turns_of_the_preload_adjuster(start: str, end: str, words: str) -> None:
    length = [parse(text, "length").si if text else None for text in (start, end)]
    assert words in figures.preload_turns(length[0], length[1], 0.002, None).words


def test_turns_are_told_in_the_unit_that_was_read() -> None:
    """Seen red with the shop's own unit, an inch, whatever the tape was."""
    start, end = (parse(text, "length").si for text in ("50 mm", "52 mm"))
    assert figures.preload_turns(start, end, 0.002, None, unit="mm").words == (
        "1.00 turns towards the spring, to 52.00 mm."
    )
    assert "to 2.047 in" in figures.preload_turns(start, end, 0.002, None).words


def test_without_a_pitch_no_turns() -> None:
    assert figures.preload_turns(0.05, 0.06, None, None).si is None


@pytest.mark.parametrize(
    ("held", "words"),
    [
        (CHARGE, "130 psi to 150 psi"),
        (Limits(low=1, low_text="12 mm"), "at least 12 mm"),
        (Limits(high=1, high_text="150 psi"), "at most 150 psi"),
        (Limits(low=1, target=2, low_text="12 mm", target_text="14 mm"), "at least 12 mm"),
        (Limits(target=2, target_text="14 mm"), "14 mm"),
        (Limits(words="snug, by hand"), "snug, by hand"),
        (Limits(target=2, target_text="14 mm", words="about"), "about"),
        (Limits(), ""),
    ],
)
def test_limits_in_words(held: Limits, words: str) -> None:
    """Seen red with "at least" and "at most" the wrong way round, with each of the two left out, and with the
    target before the sheet's own words."""
    assert limits.words_of(held) == words


@pytest.mark.parametrize(
    ("held", "aim"),
    [
        (CHARGE, 140 * PSI), (Limits(low=2.0, high=4.0), 3.0), (Limits(low=2.0), 2.0), (Limits(high=4.0), 4.0),
        (Limits(low=0.0), 0.0), (Limits(low=0.0, target=0.0, high=4.0), 0.0), (Limits(words="snug"), None),
    ],
)  # fmt: skip
def test_what_is_aimed_at(held: Limits, aim: float | None) -> None:
    """Seen red with the lowest alone for a sheet that gives only the highest, and with nought taken for no figure."""
    assert held.aim == aim


def test_a_reading_outside_is_said_with_the_side_and_the_limits() -> None:
    """Seen red with "below" for both sides, and with limits said where the sheet gives none."""
    said = {"name": "Charge", "text": "155 psi"}
    high = limits.judge(CHARGE, 155 * PSI)
    assert limits.sentence(high, CHARGE, **said) == (
        "Charge is 155 psi, above 150 psi. Limits are 130 psi to 150 psi."
    )
    low = limits.judge(CHARGE, 129 * PSI)
    assert limits.sentence(low, CHARGE, **said | {"text": "129 psi"}) == (
        "Charge is 129 psi, below 130 psi. Limits are 130 psi to 150 psi."
    )
    bare = Limits(most=200 * PSI, most_text="200 psi")
    assert limits.sentence(limits.judge(bare, 201 * PSI), bare, **said | {"text": "201 psi"}) == (
        "Charge is 201 psi, above 200 psi."
    )


@pytest.mark.django_db
class TestAtTheBench:
    """What the service does with a reading outside."""

    def charge(self, bench: Bench, celsius: str) -> None:
        bench.unlock("charge")
        bench.do("charge-temperature", "reading", text=celsius)

    def test_inside_at_42_degrees(self, bench: Bench) -> None:
        self.charge(bench, "42 °C")
        row = bench.do("charge-gas", "reading", text="152 psi", tool="G-04")
        assert (row.outside, row.out_of_order) == ("", False)
        assert bench.step("charge-gas").key in bench.sheet().standing.satisfied

    def test_140_psi_at_42_degrees_is_below_once_the_limits_are_moved_far_enough(self, bench: Bench) -> None:
        self.charge(bench, "42 °C")
        with pytest.raises(
            Refused, match=r"140 psi, below 141.1 psi. Limits are 141.1 psi to 162.7 psi"
        ) as no:
            bench.do("charge-gas", "reading", text="140 psi", tool="G-04")
        assert no.value.field == "reason"

    def test_advisory_with_a_reason_stands(self, bench: Bench) -> None:
        self.charge(bench, "20 °C")
        with pytest.raises(Refused, match=r"155 psi, above 150.0 psi. Limits are 130.0 psi to 150.0 psi"):
            bench.do("charge-gas", "reading", text="155 psi", tool="G-04")
        row = bench.do("charge-gas", "reading", text="155 psi", tool="G-04", reason="as agreed for the race")
        assert (row.outside, row.reason) == ("advisory", "as agreed for the race")
        assert bench.step("charge-gas").key in bench.sheet().standing.satisfied

    @pytest.mark.parametrize("who", ["technician", "owner"])
    def test_above_the_bodys_maximum_is_an_attempt_whoever_says_why(self, bench: Bench, who: str) -> None:
        self.charge(bench, "20 °C")
        by = getattr(bench, who)
        by.skills = ["charging"]
        by.save(update_fields=["skills"])
        row = bench.do("charge-gas", "reading", text="201 psi", tool="G-04", reason="I say so", by=by)
        assert row.outside == "absolute"
        assert bench.step("charge-gas").key in bench.sheet().standing.missing

    def test_a_charge_without_the_bodys_temperature_is_out_of_order(self, bench: Bench) -> None:
        bench.unlock("charge")
        assert bench.do("charge-gas", "reading", text="140 psi", tool="G-04").out_of_order

    def test_a_new_temperature_asks_for_the_charge_again(self, bench: Bench) -> None:
        self.charge(bench, "42 °C")
        bench.do("charge-gas", "reading", text="152 psi", tool="G-04")
        bench.do("charge-temperature", "reading", text="20 °C")
        assert bench.step("charge-gas").key in bench.sheet().standing.missing

    def test_sheet_and_report_tell_the_turns_in_the_unit_that_was_read(self, bench: Bench) -> None:
        """Seen red with the unit left out on the sheet, and on the report: the shop's own is another."""
        bench.through("restore-preload")
        Shop.objects.update(default_units={"length": "mm"})
        on_sheet = turns_of(bench.sheet())
        on_paper = next(one for one in computed(read(bench.job.pk)) if one["unit"] == "turn")
        for words in (on_sheet.words, on_paper["words"]):
            assert "2.188 in" in words and "mm" not in words

    def test_as_found_is_only_recorded(self, bench: Bench) -> None:
        bench.unlock("strip")
        bench.do("release-temperature", "reading", text="21 °C")
        row = bench.do("release-found", "reading", text="40 psi", tool="G-04")
        assert (row.outside, row.reason) == ("advisory", "")
        assert bench.step("release-found").key in bench.sheet().standing.satisfied

    def test_an_absolute_limit_of_the_sheet(self, bench: Bench) -> None:
        bench.unlock("strip")
        row = bench.do(
            "close-seal-head-torque", "reading", text="101 ft-lb", tool="W-01", reason="felt right"
        )
        assert row.outside == "absolute"
        assert bench.step("close-seal-head-torque").key in bench.sheet().standing.missing

    @pytest.mark.parametrize(
        ("text", "outside"), [("1 1/2 in", "absolute"), ("7 3/8 in", "absolute"), ("3 in", "")]
    )
    def test_an_ifp_that_meets_cap_or_floor_is_absolute(self, bench: Bench, text: str, outside: str) -> None:
        bench.unlock("strip")
        row = bench.do("ifp-depth", "reading", text=text, tool="D-01", reason="it fits")
        assert row.outside == outside

    def test_a_charge_in_words_does_not_switch_the_check_of_cap_and_floor_off(
        self, bench: Bench, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        plain = figures._aim
        monkeypatch.setattr(
            figures, "_aim", lambda spec, name: None if name == "charge" else plain(spec, name)
        )
        for depth, trouble in ((0.0381, True), (0.187, True), (0.5, True), (0.0762, False)):
            assert bool(figures.meets_cap_or_floor(bench.spec, depth, bench.shop)) is trouble, depth
        assert figures.depth_bounds(bench.spec, bench.shop) is not None

    def without(self, bench: Bench, name: str) -> ServiceSpec:
        """Give the bench's sheet as it would be without one figure."""
        spec = ServiceSpec.objects.prefetch_related("figures").get(pk=bench.spec.pk)
        spec._prefetched_objects_cache["figures"] = spec.figures.exclude(name=name)  # type: ignore[attr-defined]
        return spec

    def test_without_a_hottest_temperature_cap_and_floor_hold_at_20_degrees(self, bench: Bench) -> None:
        spec = self.without(bench, "hot temperature")
        for depth, trouble in ((0.0381, True), (0.187, True), (0.5, True), (0.0762, False)):
            assert bool(figures.meets_cap_or_floor(spec, depth, bench.shop)) is trouble, depth
        bounds = figures.depth_bounds(spec, bench.shop)
        hot = figures.depth_bounds(bench.spec, bench.shop)
        assert bounds is not None
        assert hot is not None
        assert bounds[0] < hot[0]
        found = figures.ifp(spec, 0.0762, bench.shop)
        assert found.lines[0] == "The sheet gives no hottest temperature of the oil: hot means 20 °C here."
        assert (found.trouble, len(found.lines)) == (False, 13)

    @pytest.mark.parametrize(
        ("name", "said"), [("stroke", "stroke"), ("oil expansion", "growth"), ("charge", "charge")]
    )
    def test_a_check_that_cannot_be_made_names_what_it_lacks(
        self, bench: Bench, name: str, said: str
    ) -> None:
        found = figures.ifp(self.without(bench, name), 0.0762, bench.shop)
        assert found.words.startswith("The sheet lacks figures, so the IFP cannot be checked: ")
        assert said in found.words
        assert found.lines == ()

    def test_the_bounds_that_the_page_shows_are_those_that_the_check_holds(self, bench: Bench) -> None:
        bounds = figures.depth_bounds(bench.spec, bench.shop)
        assert bounds is not None
        least, most = bounds
        for depth, trouble in (
            (least - 1e-6, True), (least + 1e-6, False), (most - 1e-6, False), (most + 1e-6, True),
        ):  # fmt: skip
            assert bool(figures.meets_cap_or_floor(bench.spec, depth, bench.shop)) is trouble, depth

    def test_not_readable_does_not_do_for_the_charge(self, bench: Bench) -> None:
        self.charge(bench, "20 °C")
        bench.do("charge-gas", "unreadable", words="the gauge fogged")
        assert bench.step("charge-gas").key in bench.sheet().standing.missing

    def test_the_ifp_check_says_all_its_lines(self, bench: Bench) -> None:
        found = figures.ifp(bench.spec, units.parse("3 in", "length").si, bench.shop)
        assert not found.trouble
        assert len(found.lines) == 12
        assert found.lines[0] == "Gas length, rod out: 2.500 in"
        assert figures.ifp(bench.spec, units.parse("1.5 in", "length").si, bench.shop).trouble

    @pytest.mark.parametrize(
        ("construction", "said"),
        [
            ("reservoir", "floor of the reservoir"),
            ("ifp body", "room in the body"),
            ("through-rod", "compensator"),
        ],
    )
    def test_the_check_speaks_of_where_the_ifp_is(self, bench: Bench, construction: str, said: str) -> None:
        """Seen red with the reservoir's words for all of them."""
        assert bench.spec is not None
        bench.spec.model.construction = construction
        assert said in figures.meets_cap_or_floor(bench.spec, deepest(bench), bench.shop)


def deepest(bench: Bench) -> float:
    """Give a depth just past the one that meets the floor in the cold."""
    bounds = figures.depth_bounds(bench.spec, bench.shop)
    assert bounds is not None
    return bounds[1] + 1e-4

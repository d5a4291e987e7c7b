"""Sheets of figures: drafted, refused where they cannot be built, frozen once released, renewed."""

from __future__ import annotations

import pytest
from django.db import DatabaseError, transaction

from shopapp.calc import units
from shopapp.dampers.models import Damper, DamperModel
from shopapp.people.models import Person
from shopapp.shop.models import Act
from shopapp.shop.services.acts import AlreadyDone, Call, Refused, Stale
from shopapp.specs import queries
from shopapp.specs import services as specs
from shopapp.specs.models import ServiceSpec, SpecFigure
from shopapp.specs.services import FigureIn, SpecKitIn, SpecToolIn
from shopapp.stock.models import Item, Kit
from shopapp.tools.models import ToolKind

from .sheets import NOW, a_draft, a_model, a_released, figure, whole

pytestmark = pytest.mark.django_db


def refused(owner: Person, given: list[FigureIn], **more: object) -> str:
    """Draft what must be refused; give the sentence, and hold that nothing was stored."""
    with pytest.raises(Refused) as no:
        a_draft(a_model(), owner, given, **more)
    assert not ServiceSpec.objects.exists()
    assert not SpecFigure.objects.exists()
    return no.value.sentence


def test_a_draft_keeps_every_figure_as_typed(owner: Person) -> None:
    spec = a_draft(a_model(), owner)
    row = queries.figure(spec, "preload")
    assert row is not None
    assert (row.low_text, row.target_text, row.high_text) == ("1 3/4", "2 3/16", "2 3/4")
    assert row.target_si == pytest.approx(0.0555625)
    assert (spec.issue, spec.released_at, spec.entered_by) == (1, None, owner)
    head = queries.figure(spec, "seal head torque")
    assert head is not None
    assert (head.words, head.target_si) == ("no figure given: snug", None)


def test_drafting_twice_with_one_key_has_one_effect(owner: Person) -> None:
    model, call = a_model(), Call.once("draft-1")
    first = specs.draft_spec(model=model, basis="maker", source="x", by=owner, at=NOW, call=call)
    with pytest.raises(AlreadyDone) as done:
        specs.draft_spec(model=model, basis="maker", source="x", by=owner, at=NOW, call=call)
    assert done.value.act.result == {"spec": first.pk}
    assert ServiceSpec.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        (
            {"preload": ("3", "2 3/16", "2 3/4")},
            "Preload adjuster, cap face to ring: 3 in is above 2 3/16 in",
        ),
        ({"preload": ("", "3", "2 3/4")}, "3 in is above 2 3/4 in"),
        ({"charge": ("", "300 psi", "")}, "A charge of 300 psi is above the body's maximum of 250 psi"),
        ({"charge": ("130 psi", "140 psi", "260 psi")}, "260 psi is above the body's maximum"),
        ({"charge_most": ("250 psi", "", "")}, "Give it under target or highest"),
        ({"charge_most": ("200 psi", "", "250 psi")}, "Give it under target or highest"),
        ({"ifp_depth": ("", "2", "")}, "IFP depth 2 in: the IFP meets the cap at full bump"),
        ({"ifp_depth": ("2", "3 1/4", "")}, "IFP depth 2 in: the IFP meets the cap"),
        ({"ifp_depth": ("", "5 1/4", "")}, "IFP depth 5 1/4 in: the IFP meets the floor"),
        ({"ifp_depth": ("", "3/8", "")}, "IFP depth 3/8 in: At this depth the IFP would stand in the cap"),
        ({"ifp_depth": ("", "5.5", "")}, "would stand in the floor"),
        ({"stroke": ("", "20", "")}, "meets the cap at full bump"),
        ({"hot_temperature": ("", "10 °C", "")}, "hot temperature must not be below"),
        ({"interval_months": ("", "1.5", "")}, "whole months"),
        ({"reservoir_bore": ("", "0 in", "")}, "IFP's bore must be more than zero"),
    ],
)
def test_what_cannot_be_built_is_refused_with_the_figure(
    owner: Person, changed: dict[str, tuple[str, str, str]], says: str
) -> None:
    assert says in refused(owner, whole(**changed))


def test_a_body_maximum_that_is_not_absolute_is_refused(owner: Person) -> None:
    given = [f for f in whole() if f.name != "charge most"]
    assert "absolute limit" in refused(owner, [*given, figure("charge most", high="250 psi", absolute=False)])


def test_the_wrong_kind_of_unit_is_refused(owner: Person) -> None:
    wrong = FigureIn("preload", target=units.parse("140 psi", "pressure"))
    assert refused(owner, [wrong]) == (
        "Preload adjuster, cap face to ring is a length; “140 psi” is a pressure."
    )


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ([FigureIn("horsepower")], "no figure called “horsepower”"),
        ([FigureIn("preload")], "give a figure, or words"),
        ([figure("preload", target="2", words="snug")], "one of the two"),
        ([figure("preload", target="2"), figure("preload", target="3")], "stands twice"),
        (
            [figure("adjuster", target="8", position="high speed")],
            "no adjuster called “high speed”. It has: rebound",
        ),
        ([figure("adjuster", target="21", position="rebound")], "goes from 0 to 20; 21 clicks lies outside"),
        ([figure("adjuster", target="2 turns", position="rebound")], "counted in clicks"),
        ([FigureIn("preload", target=units.Measurement(-0.01, "length", "mm", "-10 mm"))], "below zero"),
    ],
)
def test_a_figure_that_says_nothing_right_is_refused(owner: Person, given: list[FigureIn], says: str) -> None:
    assert says in refused(owner, given)


def test_a_source_is_needed(owner: Person) -> None:
    with pytest.raises(Refused) as no:
        specs.draft_spec(model=a_model(), basis="maker", source="  ", by=owner, at=NOW, call=Call.fresh())
    assert no.value.field == "source"
    assert not ServiceSpec.objects.exists()


def test_kits_name_one_thing_and_some_of_it(owner: Person) -> None:
    kit, oil = (
        Kit.objects.create(code="K", name="Kit"),
        Item.objects.create(code="O", name="Oil", unit="0.1 mL"),
    )
    assert "a kit or an item" in refused(owner, [], kits=[SpecKitIn("kit", kit=kit, item=oil)])
    spec = a_draft(
        a_model("Two"),
        owner,
        [],
        kits=[SpecKitIn("kit", kit=kit), SpecKitIn("oil", item=oil, quantity=11200)],
    )
    assert {(line.purpose, line.quantity) for line in spec.kits.all()} == {("kit", 1), ("oil", 11200)}


@pytest.mark.parametrize(
    ("more", "field", "says"),
    [
        ({"basis": "hearsay"}, "basis", "Say whose figures these are."),
        ({"basis": ""}, "basis", "Say whose figures these are."),
        ({"depth_to": "rod"}, "depth_to", "Say to which face of the IFP the depth is measured."),
        ({"depth_to": ""}, "depth_to", "Say to which face of the IFP the depth is measured."),
    ],
)
def test_whose_figures_and_to_which_face_are_asked_for(
    owner: Person, more: dict[str, str], field: str, says: str
) -> None:
    """Seen red with any basis let through, and with any face."""
    given = {"basis": "maker", "source": "x", "figures": whole()} | more
    with pytest.raises(Refused) as no:
        specs.draft_spec(model=a_model(), by=owner, at=NOW, call=Call.fresh(), **given)  # type: ignore[arg-type]
    assert (no.value.field, no.value.sentence) == (field, says)
    assert not ServiceSpec.objects.exists()


def test_a_damper_of_another_model_gets_no_sheet_of_this_one(owner: Person) -> None:
    """Seen red with the damper's model not looked at."""
    model = a_model()
    for number, its in enumerate((a_model("Shortreach 20"), None)):
        damper = Damper.objects.create(tag=f"4082217{number}", model=its, made_at=NOW)
        with pytest.raises(Refused) as no:
            a_draft(model, owner, damper=damper)
        assert (no.value.field, no.value.sentence) == ("damper", f"This damper is not a {model}.")
    assert not ServiceSpec.objects.exists()


def test_a_released_sheet_is_followed_by_its_next_issue_and_not_by_a_second_one(owner: Person) -> None:
    """Seen red with a second sheet let through to the database, whose sentence names no sheet, with the sentence of
    a draft for a released one, and with the damper's own sheet looked for among those of its model."""
    model = a_model()
    spec = a_released(model, owner, variant="long stroke")
    with pytest.raises(Refused) as no:
        a_draft(model, owner, variant=" long stroke ")
    assert no.value.field == "variant"
    assert no.value.sentence == (
        f"There is a sheet already: {spec}. Begin its next issue, or name another variant."
    )
    assert ServiceSpec.objects.count() == 1
    damper = Damper.objects.create(tag="40822171", model=model, made_at=NOW)
    a_released(model, owner, damper=damper)
    with pytest.raises(Refused, match="There is a sheet already"):
        a_draft(model, owner, damper=damper)
    a_draft(model, owner, variant="short stroke")


@pytest.mark.parametrize("longest", [{"words": 120}, {"position": 40, "words": 4}])
def test_words_that_are_too_long_are_refused(owner: Person, longest: dict[str, int]) -> None:
    """Seen red with the length of either not looked at, and with one character less allowed."""
    texts = {name: "x" * number for name, number in longest.items()}
    name = next(iter(longest))
    sentence = refused(owner, [FigureIn("preload", **{**texts, name: texts[name] + "x"})])  # type: ignore[arg-type]
    assert sentence.endswith(": the words are too long.")
    assert len(sentence) < 120
    a_draft(a_model("Two"), owner, [FigureIn("preload", **texts)])  # type: ignore[arg-type]


@pytest.mark.parametrize("quantity", [0, -1, 2_000_000_001])
def test_a_kit_is_some_of_it(owner: Person, quantity: int) -> None:
    """Seen red with nought let through, and with no most."""
    oil = Item.objects.create(code="O", name="Oil", unit="0.1 mL")
    lines = [SpecKitIn("oil", item=oil, quantity=quantity)]
    assert refused(owner, [], kits=lines) == "“oil”: say how much, more than nothing."


def test_a_tool_stands_once_with_each_narrowing(owner: Person) -> None:
    """Seen red with a tool let through twice, and with its narrowing not looked at."""
    kind = ToolKind.objects.create(code="socket", name="Socket")
    twice = [SpecToolIn(kind, "M10"), SpecToolIn(kind, "M10")]
    assert refused(owner, [], tools=twice) == "A tool stands twice. Keep one of the two."
    spec = a_draft(a_model("Two"), owner, [], tools=[SpecToolIn(kind, "M10"), SpecToolIn(kind, "M12")])
    assert sorted(spec.tools.values_list("narrowing", flat=True)) == ["M10", "M12"]


def test_a_sheet_without_any_figure_is_not_released(owner: Person) -> None:
    """Of a construction that needs none by rule. Seen red with an empty sheet released."""
    model = a_model()
    DamperModel.objects.filter(pk=model.pk).update(construction="emulsion")
    model.refresh_from_db()
    spec = a_draft(model, owner, [])
    with pytest.raises(Refused, match="The sheet has no figure yet"):
        specs.release_spec(spec=spec, by=owner, at=NOW, call=Call.fresh())
    spec.refresh_from_db()
    assert spec.released_at is None


def test_a_sheet_that_is_not_complete_is_not_released(owner: Person) -> None:
    spec = a_draft(a_model(), owner, whole(reservoir_length=None, charge_most=None))
    with pytest.raises(Refused) as no:
        specs.release_spec(spec=spec, by=owner, at=NOW, call=Call.fresh())
    assert "Reservoir, edge to floor; Charge, the body's maximum" in no.value.sentence
    spec.refresh_from_db()
    assert spec.released_at is None


def test_a_released_sheet_is_frozen(owner: Person) -> None:
    spec = a_released(a_model(), owner)
    for change in (
        lambda: spec.figures.filter(name="charge").update(high_si=9e6),
        lambda: spec.figures.filter(name="charge").delete(),
        lambda: SpecFigure.objects.create(
            spec=spec, name="charge", position="x", kind="pressure", words="any"
        ),
        lambda: ServiceSpec.objects.filter(pk=spec.pk).update(source="elsewhere"),
    ):
        with pytest.raises(DatabaseError), transaction.atomic():
            change()
    with pytest.raises(Refused, match="released and frozen"):
        specs.change_draft(
            spec=spec, revision=spec.revision, basis="shop", source="x", by=owner, at=NOW, call=Call.fresh()
        )
    with pytest.raises(Refused, match="released already"):
        specs.release_spec(spec=spec, by=owner, at=NOW, call=Call.fresh())


def test_changing_a_draft_replaces_its_figures_and_knows_who_came_between(owner: Person) -> None:
    spec = a_draft(a_model(), owner)
    changed = specs.change_draft(
        spec=spec, revision=1, basis="shop", source="our own", depth_to="oil_face",
        figures=whole(charge=("120 psi", "125 psi", "130 psi"), ifp_depth=("", "4", "")),
        by=owner, at=NOW, call=Call.fresh(),
    )  # fmt: skip
    row = queries.figure(changed, "charge")
    assert row is not None
    assert (row.target_text, changed.revision, changed.depth_to) == ("125 psi", 2, "oil_face")
    with pytest.raises(Stale):
        specs.change_draft(
            spec=ServiceSpec.objects.get(pk=spec.pk), revision=1, basis="shop", source="late",
            by=owner, at=NOW, call=Call.fresh(),
        )  # fmt: skip
    assert ServiceSpec.objects.get(pk=spec.pk).source == "our own"


def test_renewing_makes_the_next_issue_with_all_that_the_old_one_had(owner: Person) -> None:
    kit = Kit.objects.create(code="K", name="Kit")
    old = a_released(a_model(), owner, kits=[SpecKitIn("kit", kit=kit)])
    new = specs.renew_spec(spec=old, by=owner, at=NOW, call=Call.fresh())
    assert (new.issue, new.replaces, new.released_at) == (2, old, None)
    fields = ("name", "position", "low_text", "target_text", "high_text", "target_si", "absolute", "words")
    assert list(new.figures.values_list(*fields)) == list(old.figures.values_list(*fields))
    assert new.kits.get().kit == kit
    with pytest.raises(Refused, match="later issue already"):
        specs.renew_spec(spec=old, by=owner, at=NOW, call=Call.fresh())
    with pytest.raises(Refused, match="is a draft"):
        specs.renew_spec(spec=new, by=owner, at=NOW, call=Call.fresh())
    assert Act.objects.get(verb="renew_spec").result == {"spec": new.pk}


def test_a_second_draft_for_the_same_model_is_led_to_the_first(owner: Person) -> None:
    model = a_model()
    a_draft(model, owner)
    with pytest.raises(Refused, match="a draft already"):
        a_draft(model, owner)
    a_draft(model, owner, variant="long stroke")


def test_spec_for_takes_the_dampers_own_sheet_then_the_newest_of_its_model(owner: Person) -> None:
    model = a_model()
    damper = Damper.objects.create(tag="40822171", model=model, made_at=NOW)
    assert queries.spec_for(damper) is None
    first = a_released(model, owner)
    assert queries.spec_for(damper) == first
    second = specs.renew_spec(spec=first, by=owner, at=NOW, call=Call.fresh())
    assert queries.spec_for(damper) == first, "a draft is built to by nobody"
    specs.release_spec(spec=second, by=owner, at=NOW, call=Call.fresh())
    assert queries.spec_for(damper) == second
    own = a_released(model, owner, damper=damper)
    assert queries.spec_for(damper) == own


def test_which_of_several_variants_a_damper_is_nobody_guesses(owner: Person) -> None:
    model = a_model()
    damper = Damper.objects.create(tag="40822171", model=model, made_at=NOW)
    a_draft(model, owner, variant="long")
    plain = a_released(model, owner)
    assert queries.spec_for(damper) == plain, "a draft is no second variant"
    a_released(model, owner, variant="short")
    assert queries.spec_for(damper) is None
    own = a_released(model, owner, damper=damper)
    assert queries.spec_for(damper) == own


def test_geometry_comes_from_the_figures_and_from_a_depth_read(owner: Person) -> None:
    spec = a_released(a_model(), owner)
    found = queries.geometry(spec)
    assert found is not None
    assert found.gas_length_m == pytest.approx((3.25 - 0.5) * 0.0254)
    deeper = queries.geometry(spec, 3.5 * 0.0254)
    assert deeper is not None
    assert deeper.gas_length_m == pytest.approx(3.0 * 0.0254)
    bare = a_draft(a_model("Bare"), owner, [figure("preload", target="2")])
    assert queries.geometry(bare) is None


def test_a_figure_for_all_positions_answers_for_one(owner: Person) -> None:
    spec = a_draft(a_model(), owner, [*whole(), figure("adjuster", target="8", position="rebound")])
    gap, rebound = queries.figure(spec, "retainer gap", "third"), queries.figure(spec, "adjuster", "rebound")
    assert gap is not None and gap.target_text == "1 mm"
    assert rebound is not None and rebound.target_text == "8"
    assert queries.figure(spec, "adjuster", "compression") is None

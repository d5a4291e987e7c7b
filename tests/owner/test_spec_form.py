"""The owner's form of a sheet of figures: a draft that is opened and kept loses nothing of what it held."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.calc import units
from shopapp.dampers import services as dampers
from shopapp.dampers.models import DamperModel
from shopapp.people.models import Device, Person
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import Call
from shopapp.specs import services as specs
from shopapp.specs.models import ServiceSpec
from shopapp.specs.services import FigureIn, SpecKitIn, SpecToolIn
from shopapp.tools.models import ToolKind
from tests.bench.make import NOW, Bench, make_bench

from .test_owner_pages import _entries

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(shop: Shop, desk: Person, technician: Person, owner: Person, device: Device) -> Bench:
    return make_bench(shop=shop, desk=desk, technician=technician, owner=owner, device=device)


@pytest.fixture
def page(bench: Bench, client_as: Any) -> Client:
    return client_as(bench.owner)


def measured(text: str, kind: str, unit: str, comma: bool = False) -> units.Measurement:
    return units.parse(text, kind, unit, decimal_comma=comma)


@pytest.fixture
def draft(bench: Bench, owner: Person) -> ServiceSpec:
    """Draft a sheet with all that one may hold: two adjusters, fasteners with limits, oil twice, two kits, tools."""
    std: dict[str, Any] = {"by": owner, "at": NOW}
    model = dampers.add_model(
        maker="Halvorne", name="Longreach", construction="emulsion", call=Call.fresh(), **std,
        adjusters=[dampers.NewAdjuster("Rebound"), dampers.NewAdjuster("High speed", unit="turns", highest=4)],
    )  # fmt: skip
    torque = measured("12 lbf*ft", "torque", "lbf*ft")
    figures = [
        FigureIn("stroke", target=measured("8 1/2", "length", "in")),
        FigureIn("adjuster", "Rebound", target=measured("11", "count", "click")),
        FigureIn("adjuster", "High speed", low=measured("1.5", "count", "turn"), absolute=True),
        FigureIn("stroke", "second stage", target=measured("90", "length", "mm")),
        FigureIn("body temperature", target=measured("20", "temperature", "degC")),
        FigureIn("fastener torque", "hose", high=torque, absolute=True),
        FigureIn("fastener torque", "clamp", words="no figure given: snug"),
    ]
    kits = [
        SpecKitIn("kit", kit=bench.kit),
        SpecKitIn("oil", item=bench.oil, quantity=11205),
        SpecKitIn("grease", item=bench.oil, quantity=55),
        SpecKitIn("bushings", kit=bench.kit, quantity=2),
    ]
    tools = [SpecToolIn(ToolKind.objects.order_by("name")[0], "M10 × 1")]
    return specs.draft_spec(
        model=model, basis="maker", source="sheet 7", figures=figures, kits=kits, tools=tools,
        call=Call.fresh(), **std,
    )  # fmt: skip


def held(spec: ServiceSpec) -> list[list[tuple[Any, ...]]]:
    columns = [f"{side}_{part}" for side in ("low", "target", "high") for part in ("si", "unit")]
    return [
        sorted(spec.figures.values_list("name", "position", "absolute", "words", *columns), key=str),
        sorted(spec.kits.values_list("purpose", "kit", "item", "quantity"), key=str),
        sorted(spec.tools.values_list("kind", "narrowing"), key=str),
    ]


def address(spec: ServiceSpec) -> str:
    return reverse("owner-specs-change", args=[spec.pk])


def kept(page: Client, spec: ServiceSpec, **more: str) -> None:
    answer = page.post(address(spec), {**_entries(page, address(spec)), **more})
    assert answer.status_code == 302, answer.context["form"].errors


@pytest.mark.parametrize("comma", [False, True])
def test_a_change_of_the_source_alone_loses_nothing(page: Client, draft: ServiceSpec, comma: bool) -> None:
    Shop.objects.update(decimal_comma=comma)
    if comma:
        draft.figures.filter(position="High speed").update(low_text="1,5")
    before = held(draft)
    kept(page, draft, source="sheet 7, second print")
    draft.refresh_from_db()
    assert draft.source == "sheet 7, second print" and held(draft) == before


def test_each_of_them_is_shown_and_can_be_changed(page: Client, draft: ServiceSpec) -> None:
    shown = page.get(address(draft)).content.decode()
    for words in ("from its stop: High speed", "from its stop: Rebound", "Stroke: second stage", "bushings"):
        assert words in shown, words
    form = page.get(address(draft)).context["form"]
    rows = {key: number for number, (key, _label) in enumerate(form.positions.fixed)}
    kept(page, draft, **{f"positions-{rows['adjuster|High speed']}-low": "2"})
    low = draft.figures.get(position="High speed")
    assert (low.low_si, low.low_unit) == (measured("2", "count", "turn").si, "turn")


def test_an_oil_in_tenths_is_typed_with_the_shops_comma(page: Client, draft: ServiceSpec) -> None:
    Shop.objects.update(decimal_comma=True)
    assert page.get(address(draft)).context["form"]["oil_quantity"].value() == "1120,5 mL"
    kept(page, draft, oil_quantity="1,2 L", **{"figures-0-target": "28,5"})
    assert draft.kits.get(purpose="oil").quantity == 12000


@pytest.mark.parametrize(
    "row",
    [
        {"purpose": "wax", "quantity": "1"},
        {"purpose": "wax", "kit": "kit", "item": "oil"},
        {"purpose": "wax", "kit": "kit", "quantity": "half"},
        {"purpose": "wax", "item": "oil", "quantity": "much"},
        {"kit": "kit"},
        {"purpose": "oil", "kit": "kit"},
    ],
)
def test_a_half_row_says_what_it_lacks_and_keeps_the_form(
    page: Client, draft: ServiceSpec, bench: Bench, row: dict[str, str]
) -> None:
    before, pks = held(draft), {"kit": str(bench.kit.pk), "oil": str(bench.oil.pk)}
    more = {f"others-2-{name}": pks.get(text, text) for name, text in row.items() if name != "purpose"}
    more["others-2-purpose"] = row.get("purpose", "")
    answer = page.post(address(draft), {**_entries(page, address(draft)), **more})
    assert answer.status_code == 422 and answer.context["form"].errors
    assert held(draft) == before


def test_a_draft_of_a_retired_model_can_be_kept(page: Client, draft: ServiceSpec) -> None:
    DamperModel.objects.filter(pk=draft.model_id).update(retired_at=NOW)
    assert "no longer serviced" in page.get(address(draft)).content.decode()
    before = held(draft)
    kept(page, draft, source="sheet 8")
    draft.refresh_from_db()
    assert draft.source == "sheet 8" and held(draft) == before


WORDS = {
    "reservoir": ("Reservoir bore", "IFP depth", "IFP depth, measured to its"),
    "ifp body": ("Bore that the IFP runs in", "IFP depth", "IFP depth, measured to its"),
    "through-rod": (
        "Compensator bore", "Compensator’s piston, depth", "Compensator’s piston, depth, measured to its",
    ),
    "bladder": ("Reservoir bore", "IFP depth (none in this construction)", "IFP depth, measured to its"),
    "emulsion": (
        "Reservoir bore (none in this construction)", "IFP depth (none in this construction)",
        "IFP depth, measured to its",
    ),
}  # fmt: skip


@pytest.mark.parametrize("construction", WORDS)
def test_the_figures_have_the_words_of_the_models_construction(
    page: Client, draft: ServiceSpec, construction: str
) -> None:
    """On the sheet that exists, and on a new one that was refused. Seen red with one wording for all of them."""
    DamperModel.objects.filter(pk=draft.model_id).update(construction=construction)
    new = reverse("owner-specs-new")
    refused = page.post(new, {**_entries(page, new), "model": str(draft.model_id), "source": ""})
    assert refused.status_code == 422
    for answer in (page.get(address(draft)), refused):
        form = answer.context["form"]
        rows = dict(form.groups[0].fixed)
        words = (rows["reservoir bore"], rows["ifp depth"], str(form.fields["depth_to"].label))
        assert words == WORDS[construction]
        assert f">{words[0]}</th>" in answer.content.decode()


def test_a_construction_that_changed_moves_no_figure(page: Client, draft: ServiceSpec) -> None:
    """The rows stay where they are, whatever they are called. Seen red with the lacked ones left out."""
    posted = _entries(page, address(draft))
    DamperModel.objects.filter(pk=draft.model_id).update(construction="reservoir")
    before = held(draft)
    assert page.post(address(draft), posted).status_code == 302
    assert held(draft) == before


def test_before_a_model_is_chosen_the_page_says_whose_words_come(page: Client) -> None:
    """Seen red without the hint."""
    assert "take the words of its construction" in page.get(reverse("owner-specs-new")).content.decode()


@pytest.mark.parametrize("model", ["", "x", "\u0663", "9" * 40, "-1"])
def test_a_model_that_is_none_is_a_sentence(page: Client, model: str) -> None:
    """Seen red with the text read as a number unseen."""
    new = reverse("owner-specs-new")
    answer = page.post(new, {**_entries(page, new), "model": model})
    assert answer.status_code == 422 and "model" in answer.context["form"].errors

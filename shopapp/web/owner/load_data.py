"""The things of dampers, sheets, stores and tools: how each is listed, asked for and written."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.formats import number_format
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from shopapp.dampers import services as dampers
from shopapp.dampers.models import DamperModel
from shopapp.dampers.services.models import NewAdjuster
from shopapp.specs import services as specs
from shopapp.specs.models import ServiceSpec
from shopapp.stock import queries as stock_queries
from shopapp.stock import services as stock
from shopapp.stock.models import Item, Kit
from shopapp.tools import services as tools
from shopapp.tools.models import Tool, ToolKind
from shopapp.web.owner import data_forms, forms, spec_form
from shopapp.web.owner.load import picked
from shopapp.web.owner.things import Thing, register


def _adjusters(form: Any) -> list[NewAdjuster]:
    return [
        NewAdjuster(
            name=row["name"],
            unit=row["unit"] or "clicks",
            counted_from=row["counted_from"] or "closed",
            lowest=row["lowest"] or 0,
            highest=20 if row["highest"] is None else row["highest"],
        )
        for row in form.cleaned_data["adjusters"]
    ]


MODEL = ("maker", "name", "construction", "note")

register(
    Thing(
        slug="models",
        title=_("Damper models"),
        one=_("damper model"),
        captions=(_("Maker"), _("Model"), _("Construction"), _("Adjusters")),
        rows=lambda: DamperModel.objects.prefetch_related("adjusters").order_by("maker", "name", "pk"),
        cells=lambda row: [
            row.maker,
            row.name,
            row.get_construction_display(),
            ", ".join(adjuster.name for adjuster in row.adjusters.all()) or "–",
        ],
        form=data_forms.ModelForm,
        add=lambda form, asked: dampers.add_model(
            adjusters=_adjusters(form), **picked(form, *MODEL), **asked.std
        ),
        change=lambda row, form, asked: dampers.change_model(
            model=row,
            revision=form.expected,
            adjusters=_adjusters(form),
            retired=form.cleaned_data["retired"],
            **picked(form, *MODEL),
            **asked.std,
        ),
        gone=lambda row: row.retired_at is not None,
        subject="model",
    )
)


def _after(row: Any) -> list[tuple[str, str]]:
    if row.released_at is None:
        return [
            (reverse("owner-spec-release", args=[row.pk]), _now("Release this sheet: its figures are frozen"))
        ]
    return [(reverse("owner-spec-renew", args=[row.pk]), _now("Begin the next issue"))]


register(
    Thing(
        slug="specs",
        title=_("Sheets of figures"),
        one=_("sheet of figures"),
        captions=(_("Model"), _("Variant"), _("Issue"), _("Source"), _("Whose figures"), _("Released")),
        rows=lambda: ServiceSpec.objects.select_related("model", "damper").order_by(
            "model__maker", "model__name", "variant", "-issue", "pk"
        ),
        cells=lambda row: [
            str(row.damper or row.model),
            row.variant or "–",
            str(row.issue),
            row.source,
            row.get_basis_display(),
            f"{row.released_at:%Y-%m-%d}" if row.released_at else _now("a draft"),
        ],
        form=spec_form.SpecForm,
        add=lambda form, asked: specs.draft_spec(
            **picked(form, "model", "variant"), **spec_form.sheet_of(form), **asked.std
        ),
        change=lambda row, form, asked: specs.change_draft(
            spec=row, revision=form.expected, **spec_form.sheet_of(form), **asked.std
        ),
        note=_(
            "The maker's sheet comes first; say where the figures come from. A released sheet is frozen: its next "
            "issue is drafted from it."
        ),
        subject="spec",
        more=_after,
    )
)

ITEM = ("name", "bin", "minimum", "elastomer", "size", "price", "tax_category")

register(
    Thing(
        slug="items",
        title=_("Items"),
        one=_("item"),
        captions=(_("Code"), _("Name"), _("On hand"), _("Bin"), _("Price")),
        rows=lambda: Item.objects.select_related("level").order_by("code", "pk"),
        cells=lambda row: [
            row.code,
            row.name,
            stock_queries.show_quantity(row, row.level.on_hand if hasattr(row, "level") else 0),
            row.bin or "–",
            number_format(row.price),
        ],
        form=data_forms.ItemForm,
        add=lambda form, asked: stock.add_item(**picked(form, "code", "unit", *ITEM), **asked.std),
        change=lambda row, form, asked: stock.change_item(
            item=row,
            revision=form.expected,
            retired=form.cleaned_data["retired"],
            **picked(form, *ITEM),
            **asked.std,
        ),
        gone=lambda row: row.retired_at is not None,
        subject="item",
    )
)


def _kit_lines(form: Any) -> list[Any]:
    """Give the lines as typed; what may stand in for an item is not shown here and stays as it was."""
    kept = (
        {line.position: tuple(line.alternatives.all()) for line in form.row.lines.all()} if form.row else {}
    )
    found = []
    for row in form.cleaned_data["lines"]:
        position = row["position"] or row["item"].name
        found.append(
            stock.KitLineIn(
                item=row["item"],
                quantity=row["quantity"] or 1,
                position=position,
                alternatives=kept.get(position, ()),
            )
        )
    return found


register(
    Thing(
        slug="kits",
        title=_("Kits"),
        one=_("kit"),
        captions=(_("Code"), _("Name"), _("Positions"), _("Price")),
        rows=lambda: Kit.objects.prefetch_related("lines", "fits").order_by("code", "pk"),
        cells=lambda row: [row.code, row.name, str(len(row.lines.all())), number_format(row.price, 2)],
        form=data_forms.KitForm,
        add=lambda form, asked: stock.add_kit(
            lines=_kit_lines(form),
            **picked(form, "code", "name", "price", "tax_category", "models"),
            **asked.std,
        ),
        change=lambda row, form, asked: stock.change_kit(
            kit=row,
            revision=form.expected,
            lines=_kit_lines(form),
            **picked(form, "name", "price", "tax_category", "models", "retired"),
            **asked.std,
        ),
        gone=lambda row: row.retired_at is not None,
        subject="kit",
    )
)

register(
    Thing(
        slug="tool-kinds",
        title=_("Kinds of tool"),
        one=_("kind of tool"),
        captions=(_("Name"), _("Short name"), _("Has a check date"), _("Critical")),
        rows=lambda: ToolKind.objects.order_by("name", "pk"),
        cells=lambda row: [
            row.name,
            row.code,
            _now("yes") if row.checked else _now("no"),
            _now("yes") if row.critical else _now("no"),
        ],
        form=forms.ToolKindForm,
        add=lambda form, asked: tools.add_tool_kind(
            **picked(form, "code", "name", "checked", "critical"), **asked.std
        ),
        change=lambda row, form, asked: tools.change_tool_kind(
            kind=row, revision=form.expected, **picked(form, "name", "checked", "critical"), **asked.std
        ),
        subject="tool kind",
    )
)

register(
    Thing(
        slug="tools",
        title=_("Tools"),
        one=_("tool"),
        captions=(_("Tag"), _("Kind"), _("Thread or range"), _("Checked until"), _("State")),
        rows=lambda: Tool.objects.select_related("kind").order_by("kind__name", "tag"),
        cells=lambda row: [
            row.tag,
            row.kind.name,
            row.narrowing or "–",
            row.checked_until.isoformat() if row.checked_until else "–",
            row.get_state_display(),
        ],
        form=forms.ToolForm,
        add=lambda form, asked: tools.add_tool(**picked(form, "kind", "tag", "narrowing"), **asked.std),
        change=lambda row, form, asked: tools.change_tool(
            tool=row, revision=form.expected, **picked(form, "narrowing", "state"), **asked.std
        ),
        gone=lambda row: row.state == Tool.State.RETIRED,
        subject="tool",
    )
)

"""The owner's form of a sheet of figures: all that a sheet may hold is shown, so that a change loses nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shopapp.dampers.models import DamperModel
from shopapp.shop.forms import MeasuredField
from shopapp.specs import figures
from shopapp.specs import services as specs
from shopapp.specs.models import ServiceSpec
from shopapp.stock.models import Item, Kit
from shopapp.stock.quantities import read_quantity, show_quantity
from shopapp.tools.models import ToolKind
from shopapp.web.owner.forms import ThingForm, text_of
from shopapp.web.owner.rows import Group

FASTENER = "fastener torque"
MEASURED = ("low", "target", "high")
FIXED_FIGURES = tuple(
    (name, figure.label)
    for name, figure in figures.NAMES.items()
    if name not in ("adjuster", FASTENER, "body temperature") and figure.kind != figures.STACK
)


def _short(length: int) -> Callable[[], forms.Field]:
    return lambda: forms.CharField(max_length=length)


def _key(name: str, position: str) -> str:
    return f"{name}|{position}"


def _figure_field(key: str, column: str, unit: str = "") -> forms.Field:
    """Make the field of a figure's column; the key is the figure's name, with its position after a bar."""
    if column == "absolute":
        return forms.BooleanField()
    if column == "words":
        return forms.CharField(max_length=120)
    figure = figures.NAMES[key.partition("|")[0]]
    return MeasuredField(kind=figure.kind, default_unit=unit or figure.default_unit, signed=figure.signed)


def _torque() -> forms.Field:
    return MeasuredField(kind="torque", default_unit="lbf*ft")


FIGURE_COLUMNS: dict[str, tuple[Any, Callable[[], forms.Field]]] = {
    "low": (_("Lowest"), _torque),
    "target": (_("Target"), _torque),
    "high": (_("Highest"), _torque),
    "absolute": (_("Absolute"), forms.BooleanField),
    "words": (_("Or in words"), _short(120)),
}
FIGURES = Group(
    "figures",
    _("Figures of the sheet"),
    FIGURE_COLUMNS,
    fixed=FIXED_FIGURES,
    make_fixed=_figure_field,
    row_caption=_("Figure"),
)
FASTENERS = Group(
    "fasteners",
    _("Other fasteners"),
    {"position": (_("Which"), _short(40)), **FIGURE_COLUMNS},
    count=2,
    needs="position",
)
OTHERS = Group(
    "others",
    _("Other kits and oils"),
    {
        "purpose": (_("What for"), _short(20)),
        "kit": (_("Kit"), lambda: forms.ModelChoiceField(Kit.objects.order_by("code"))),
        "item": (_("Or item"), lambda: forms.ModelChoiceField(Item.objects.order_by("code"))),
        "quantity": (_("How much"), _short(40)),
    },
    count=1,
    needs="purpose",
)
TOOLS = Group(
    "tools",
    _("Tools it asks for"),
    {
        "kind": (_("Kind"), lambda: forms.ModelChoiceField(ToolKind.objects.order_by("name"))),
        "narrowing": (_("Thread or range"), _short(60)),
    },
    count=3,
    needs="kind",
)


class SpecForm(ThingForm):
    """A sheet of figures with its source; what is not given stays empty."""

    model = forms.ModelChoiceField(
        label=_("Model"),
        queryset=DamperModel.objects.filter(retired_at__isnull=True).order_by("maker", "name"),
    )
    variant = forms.CharField(label=_("Variant"), max_length=60, required=False)
    basis = forms.ChoiceField(label=_("Whose figures"), choices=ServiceSpec.Basis.choices)
    source = forms.CharField(
        label=_("Source"),
        max_length=200,
        help_text=_("The sheet's name and number, or who measured it on which unit."),
    )
    sheet_date = forms.DateField(
        label=_("Date of the sheet"), required=False, widget=forms.DateInput({"type": "date"})
    )
    depth_to = forms.ChoiceField(
        label=_("IFP depth is measured to its"),
        choices=[("gas_face", _("gas face")), ("oil_face", _("oil face"))],
    )
    kit = forms.ModelChoiceField(label=_("Kit"), queryset=Kit.objects.order_by("code"), required=False)
    oil = forms.ModelChoiceField(
        label=_("Oil"), queryset=Item.objects.filter(unit=Item.Unit.TENTH_ML).order_by("code"), required=False
    )
    oil_quantity = MeasuredField(
        label=_("Oil, to draw for one"), kind="volume", default_unit="mL", required=False
    )

    @staticmethod
    def initial_of(row: Any) -> dict[str, Any]:
        names = ("model", "variant", "basis", "source", "sheet_date", "depth_to")
        return {name: getattr(row, name) for name in names}

    def prepare(self) -> None:
        filled: dict[str, list[dict[str, Any]]] = {"figures": [{} for _key in FIXED_FIGURES]}
        built = self._construction()
        self._figures = _worded(built)
        self.groups = (self._figures, FASTENERS, TOOLS, OTHERS)
        if built:
            self.fields["depth_to"].label = _depth_words(built)
        else:
            words = _("The figures take the words of its construction as soon as the sheet is stored.")
            self.fields["model"].help_text = words
        if self.row is not None:
            filled |= self._filled()
            self._lock_model()
        self.add_rows(filled)
        if self.row is not None and self.row.released_at:
            for field in self.fields.values():
                field.disabled = True

    def _construction(self) -> str:
        """Give the code of the construction whose words the figures take; "" while no model is known."""
        if self.row is not None:
            return str(self.row.model.construction)
        chosen = self.data.get("model", "")
        if not (chosen.isascii() and chosen.isdigit() and len(chosen) < 19):
            return ""
        found = DamperModel.objects.filter(pk=int(chosen)).values_list("construction", flat=True).first()
        return str(found or "")

    def _lock_model(self) -> None:
        """Keep model and variant; a draft of a model that was retired meanwhile can still be changed."""
        model = self.fields["model"]
        model.disabled = self.fields["variant"].disabled = True
        model.queryset = DamperModel.objects.filter(pk=self.row.model_id)  # type: ignore[attr-defined]
        if self.row.model.retired_at is not None:
            model.help_text = _("This model is no longer serviced; its sheet can still be completed.")

    def _filled(self) -> dict[str, list[dict[str, Any]]]:
        rows = {_key(figure.name, figure.position): figure for figure in self.row.figures.all()}
        fixed = {_key(name, "") for name, _label in FIXED_FIGURES}
        self._show_positions([key for key in rows if key not in fixed and rows[key].name != FASTENER])
        return {
            "figures": [
                _filled_figure(rows[_key(name, "")]) if _key(name, "") in rows else {}
                for name, _label in FIXED_FIGURES
            ],
            "positions": [
                _filled_figure(rows[key]) if key in rows else {}
                for key, _label in (self.positions.fixed if self.positions else ())
            ],
            "fasteners": [
                {**_filled_figure(figure), "position": figure.position}
                for figure in rows.values()
                if figure.name == FASTENER
            ],
            "tools": [{"kind": tool.kind_id, "narrowing": tool.narrowing} for tool in self.row.tools.all()],
            "others": self._filled_kits(),
        }

    positions: Group | None = None

    def _show_positions(self, keys: list[str]) -> None:
        """Show a row for each adjuster of the model, and for every other figure that has a row of its own."""
        turned = {_key("adjuster", one.name): one.unit == "turns" for one in self.row.model.adjusters.all()}
        keys = [*turned, *keys]
        fixed = [(key, _label(key)) for key in dict.fromkeys(keys)]
        if fixed:
            self.positions = Group(
                "positions",
                _("Adjusters and other positions"),
                FIGURE_COLUMNS,
                fixed=fixed,
                make_fixed=lambda key, column: _figure_field(key, column, "turn" if turned.get(key) else ""),
                row_caption=_("Figure"),
            )
            self.groups = (self._figures, self.positions, FASTENERS, TOOLS, OTHERS)

    def _filled_kits(self) -> list[dict[str, Any]]:
        """Fill the kit and the oil; give every further line as a row."""
        others = []
        for line in self.row.kits.select_related("item").order_by("pk"):
            if line.purpose == "kit" and line.kit_id and line.quantity == 1:
                self.initial["kit"] = line.kit_id
            elif line.purpose == "oil" and line.item and line.item.unit == Item.Unit.TENTH_ML:
                self.initial["oil"] = line.item_id
                self.initial["oil_quantity"] = self._said(line.item, line.quantity)
            else:
                said = self._said(line.item, line.quantity) if line.item else str(line.quantity)
                others.append(
                    {"purpose": line.purpose, "kit": line.kit_id, "item": line.item_id, "quantity": said}
                )
        return others

    def _said(self, item: Item, quantity: int) -> str:
        text = show_quantity(item, quantity)
        return text.replace(".", ",") if self.shop and self.shop.decimal_comma else text

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        data["figures"] = self.clean_rows("figures", ignore=("absolute",))
        data["positions"] = self.clean_rows("positions", ignore=("absolute",)) if self.positions else []
        data["fasteners"] = self.clean_rows("fasteners", ignore=("absolute",))
        data["tools"] = self.clean_rows("tools")
        data["others"] = [self._other(row) for row in self.clean_rows("others")]
        if data.get("oil") and not data.get("oil_quantity"):
            self.add_error("oil_quantity", _("Say how much oil one damper takes, like 1120 ml."))
        return data

    def _other(self, row: dict[str, Any]) -> dict[str, Any]:
        """Read how much of one kit or item a further line asks for."""
        name, text = f"others-{row['_number']}-quantity", row["quantity"] or "1"
        if bool(row["kit"]) == bool(row["item"]):
            self.add_error(f"others-{row['_number']}-kit", _("Choose a kit or an item, one of the two."))
            return row
        if row["kit"]:
            if not (text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= 1000 and len(text) < 5):
                self.add_error(name, _("A kit is counted: write a whole number, such as 1."))
                return row
            return {**row, "quantity": int(text)}
        try:
            comma = bool(self.shop and self.shop.decimal_comma)
            return {**row, "quantity": read_quantity(row["item"], text, decimal_comma=comma)}
        except ValueError as problem:
            self.add_error(name, str(problem))
            return row


def _worded(construction: str) -> Group:
    """Give the group of the figures in the words of a construction; its rows and their order stay the same."""
    lacked = figures.LACKED.get(construction, frozenset())
    rows = []
    for name, _label_of_any in FIXED_FIGURES:
        label = figures.label_of(name, construction)
        said = _("%(figure)s (none in this construction)") % {"figure": label} if name in lacked else label
        rows.append((name, said))
    return replace(FIGURES, fixed=rows)


def _depth_words(construction: str) -> str:
    return str(_("%s, measured to its")) % figures.label_of("ifp depth", construction)


def _label(key: str) -> str:
    name, _bar, position = key.partition("|")
    label = str(figures.NAMES[name].label)
    return f"{label}: {position}" if position else label


def _filled_figure(figure: Any) -> dict[str, Any]:
    row: dict[str, Any] = {"absolute": figure.absolute, "words": figure.words}
    for column in MEASURED:
        text, unit = getattr(figure, f"{column}_text"), getattr(figure, f"{column}_unit")
        if text:
            row[column] = text_of(SimpleNamespace(text=text, unit=unit, kind=figure.kind))
    return row


def _figure_in(name: str, position: str, row: dict[str, Any]) -> specs.FigureIn:
    return specs.FigureIn(
        name=name,
        position=position,
        absolute=bool(row["absolute"]),
        words=row["words"] or "",
        **{column: row[column] for column in MEASURED},
    )


def sheet_of(form: Any) -> dict[str, Any]:
    """Give what was typed as the services take it."""
    data = form.cleaned_data
    found = [_figure_in(row["_key"], "", row) for row in data["figures"]]
    for row in data["positions"]:
        name, _bar, position = row["_key"].partition("|")
        found.append(_figure_in(name, position, row))
    found += [_figure_in(FASTENER, row["position"], row) for row in data["fasteners"]]
    kits = [specs.SpecKitIn(purpose="kit", kit=data["kit"])] if data["kit"] else []
    if data["oil"]:
        tenths = round(data["oil_quantity"].si * 1e7)
        kits.append(specs.SpecKitIn(purpose="oil", item=data["oil"], quantity=tenths))
    kits += [
        specs.SpecKitIn(purpose=row["purpose"], kit=row["kit"], item=row["item"], quantity=row["quantity"])
        for row in data["others"]
    ]
    return {
        "figures": found,
        "kits": kits,
        "tools": [
            specs.SpecToolIn(kind=row["kind"], narrowing=row["narrowing"] or "") for row in data["tools"]
        ],
        **{name: data[name] for name in ("basis", "source", "sheet_date", "depth_to")},
    }

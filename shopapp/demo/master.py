"""The demo's master data, written through the services: shop, people, bays, tools, stores, models, sheets, prices."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from shopapp.calc import units
from shopapp.dampers import services as dampers
from shopapp.dampers.models import DamperModel
from shopapp.dampers.services.models import NewAdjuster
from shopapp.demo import names, sheets
from shopapp.money import services as money
from shopapp.orders import services as orders
from shopapp.orders.models import Bay, Terms, WorkType
from shopapp.people.models import Person
from shopapp.people.services import staff
from shopapp.shop.services.acts import Call
from shopapp.shop.services.the_shop import ShopDetails, set_up_shop
from shopapp.specs import figures
from shopapp.specs import services as specs
from shopapp.stock import services as stock
from shopapp.stock.models import Item, Kit
from shopapp.tools import services as tools
from shopapp.tools.models import Tool, ToolKind

ZONE = "America/New_York"

TOOLS = (
    ("gauge", "G-04", "", 200), ("gauge", "G-05", "", 40), ("depth tool", "D-01", "", 210),
    ("torque wrench", "T-02", "10 to 80 ft-lb", 90), ("torque wrench", "T-03", "40 to 120 N·m", -12),
    ("regulator", "N-01", "", 300), ("spring compressor", "C-01", "", 150), ("ifp puller", "P-10", "M10 × 1", None),
    ("ifp puller", "P-08", "M8 × 1", None),
)  # fmt: skip

ITEMS = (
    ("OIL-15", "Damper oil, 15 mm²/s at 40 °C", "0.1 mL", "18.0000", "", 400_000),
    ("OR-210", "O-ring, seal head", "piece", "1.9000", "NBR", 60),
    ("OR-222", "O-ring, reservoir cap", "piece", "2.1000", "NBR", 60),
    ("OR-013", "O-ring, bleed screw", "piece", "0.6000", "NBR", 80),
    ("WB-60", "Wear band, IFP", "piece", "4.2000", "PTFE", 40),
    ("RS-19", "Rod seal and wiper, 3/4 in", "piece", "14.5000", "HNBR", 26),
    ("RS-16", "Rod seal and wiper, 16 mm", "piece", "13.9000", "HNBR", 26),
    ("RS-14", "Rod seal and wiper, 14 mm", "piece", "12.8000", "HNBR", 30),
    ("BL-50", "Bladder, 50 mm", "piece", "31.0000", "NBR", 12),
    ("NUT-M12", "Piston nut, single-use", "piece", "3.8000", "", 50),
)
WORK_TYPES = (
    ("rebuild", "Rebuild", "186.00", 180, "Rebuild", "spec", 180, 12),
    ("inspect", "Inspection", "45.00", 30, "Inspection", "none", 0, None),
    ("springs", "Spring change", "60.00", 40, "Spring change", "none", 30, None),
)


@dataclass
class Master:
    """What was made, by the short names of the demo's tables."""

    today: date
    began: datetime
    people: dict[str, Person] = field(default_factory=dict)
    bays: dict[str, Bay] = field(default_factory=dict)
    kinds: dict[str, ToolKind] = field(default_factory=dict)
    tools: dict[str, Tool] = field(default_factory=dict)
    items: dict[str, Item] = field(default_factory=dict)
    kits: dict[str, Kit] = field(default_factory=dict)
    models: dict[str, DamperModel] = field(default_factory=dict)
    work_types: dict[str, WorkType] = field(default_factory=dict)
    terms: Terms | None = None
    calls: int = 0

    @property
    def owner(self) -> Person:
        return self.people["jorun"]

    def std(self, by: str = "jorun", at: datetime | None = None) -> dict[str, Any]:
        """Give who, when and a key of its own to a service."""
        self.calls += 1
        return {"by": self.people[by], "at": at or self.began, "call": Call.once(f"demo:{self.calls}")}


def load_master(master: Master) -> None:
    """Write everything that stands before the first customer comes."""
    _shop_and_people(master)
    for number, bay in enumerate(names.BAYS, start=1):
        master.bays[bay] = orders.add_bay(name=bay, order=number, **master.std())
    for rack in range(1, 5):
        for shelf in "ABCD":
            orders.add_shelf(code=f"R{rack}-{shelf}", rack=f"rack {rack}", shelf=shelf, **master.std())
    _tools(master)
    _stores(master)
    _models(master)
    _sheets(master)
    _work(master)


def _tolerance(text: str, kind: str) -> dict[str, object]:
    value = units.parse(text, kind)
    return {"si": value.si, "unit": value.unit, "text": value.text}


def _shop_and_people(master: Master) -> None:
    details = ShopDetails(
        **names.SHOP,  # type: ignore[arg-type]
        zone=ZONE,
        altitude=units.parse("4 m", "length"),
        default_units={
            "length": "in", "pressure": "psi", "torque": "lbf*ft", "distance": "mile", "temperature": "degC",
        },
        pair_tolerances={
            name: _tolerance(text, kind)
            for name, text, kind in (
                ("charge", "5 psi", "pressure"), ("ifp depth", "1/16 in", "length"),
                ("preload", "1/16 in", "length"), ("adjuster", "1 click", "count"),
            )
        },
    )  # fmt: skip
    set_up_shop(details=details, by=None, at=master.began, call=Call.once("demo:shop"), is_demo=True)
    for person in names.PEOPLE:
        master.people[person.login] = staff.add_person(
            login_name=person.login,
            name=person.name,
            initials=person.initials,
            roles=person.roles,
            skills=person.skills,
            countersign_needed=person.trainee,
            password=names.PASSWORD if person.shown else "",
            by=None,
            at=master.began,
            call=Call.once(f"demo:person:{person.login}"),
        )


def _tools(master: Master) -> None:
    master.kinds.update({kind.code: kind for kind in ToolKind.objects.all()})  # they come with the program
    for code, tag, narrowing, days in TOOLS:
        tool = tools.add_tool(kind=master.kinds[code], tag=tag, narrowing=narrowing, **master.std())
        master.tools[tag] = tool
        if days is not None:
            _checked(master, tool, master.today + timedelta(days=days))


def _checked(master: Master, tool: Tool, until: date) -> None:
    """Check a tool every year since the demo began, the last time good until `until`."""
    day = until - timedelta(days=365)
    at = master.began + timedelta(days=(day - master.began.date()).days, hours=1)
    tools.record_check(tool=tool, kind="calibration", on=day, until=until, passed=True, **master.std(at=at))


def _stores(master: Master) -> None:
    for number, (code, name, unit, price, elastomer, on_hand) in enumerate(ITEMS, start=1):
        item = stock.add_item(
            code=code, name=name, unit=unit, bin=f"S{number}", minimum=on_hand // 10, elastomer=elastomer,
            price=Decimal(price), **master.std(),
        )  # fmt: skip
        master.items[code] = item
        for part, share in (("A", 2), ("B", 1)):
            at = master.began + timedelta(days=0 if part == "A" else 120)
            stock.receive_lot(
                item=item, batch=f"26{number:02}-{part}", quantity=on_hand * share // 3, received=at.date(),
                expires=master.today + timedelta(days=900 * share) if elastomer else None, **master.std(at=at),
            )  # fmt: skip


def _models(master: Master) -> None:
    for model in sheets.MODELS:
        adjusters = [NewAdjuster(*adjuster) for adjuster in model.adjusters]
        master.models[model.short] = dampers.add_model(
            maker=model.maker,
            name=model.name,
            construction=model.construction,
            adjusters=adjusters,
            **master.std(),
        )
    for code, name, price, model_name, items in sheets.KITS:
        lines = [
            stock.KitLineIn(item=master.items[item], quantity=needed, position=master.items[item].name)
            for item, needed in Counter(items).items()
        ]
        master.kits[model_name] = stock.add_kit(
            code=code, name=name, price=Decimal(price), tax_category="S", lines=lines,
            models=[master.models[model_name]], **master.std(),
        )  # fmt: skip


def _figures(sheet: sheets.DemoSheet) -> list[specs.FigureIn]:
    rows = [((name, ""), texts) for name, texts in sheet.figures.items()] + list(sheet.at.items())
    return [_figure(sheet, *place, texts) for place, texts in rows] + [
        specs.FigureIn(name=name, words=words) for name, words in sheet.words.items()
    ]


def _figure(sheet: sheets.DemoSheet, name: str, position: str, texts: tuple[str, str, str]) -> specs.FigureIn:
    known = figures.NAMES[name]
    low, target, high = (
        units.parse(text, known.kind, known.default_unit, signed=known.signed) if text else None
        for text in texts
    )
    return specs.FigureIn(
        name=name, position=position, low=low, target=target, high=high, absolute=name in sheet.absolute
    )


def _tools_of(master: Master, sheet: sheets.DemoSheet) -> list[specs.SpecToolIn]:
    with_ifp = ("depth tool",) if sheet.puller else ()
    plain = ("gauge", *with_ifp, "torque wrench", "regulator", "spring compressor")
    found = [specs.SpecToolIn(kind=master.kinds[code]) for code in plain]
    if sheet.puller:
        found.append(specs.SpecToolIn(kind=master.kinds["ifp puller"], narrowing=sheet.puller))
    return found


def _sheets(master: Master) -> None:
    for sheet in sheets.SHEETS:
        spec = specs.draft_spec(
            model=master.models[sheet.model],
            basis="maker",
            source=sheet.source,
            sheet_date=master.began.date(),
            figures=_figures(sheet),
            kits=[
                specs.SpecKitIn(purpose="kit", kit=master.kits[sheet.model]),
                specs.SpecKitIn(purpose="oil", item=master.items["OIL-15"], quantity=sheet.oil_ml * 10),
            ],
            tools=_tools_of(master, sheet),
            **master.std(),
        )
        specs.release_spec(spec=spec, **master.std())


def _work(master: Master) -> None:
    first = master.began.date()
    money.add_tax_rate(category="S", name="Sales tax", rate=Decimal("7.25"), since=first, **master.std())
    money.add_tax_rate(category="Z", name="No tax", rate=Decimal(0), since=first, **master.std())
    master.terms = orders.issue_terms(text=names.TERMS, since=first, **master.std())
    for code, name, price, minutes, procedure, kit_rule, warranty, interval in WORK_TYPES:
        master.work_types[code] = orders.add_work_type(
            code=code, name=name, price=Decimal(price), minutes=minutes, procedure_name=procedure,
            kit_rule=kit_rule, warranty_days=warranty, interval_months=interval, **master.std(),
        )  # fmt: skip

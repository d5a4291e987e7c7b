"""The demo's models with their invented sheets of figures and kits: one model at least for every construction.

Nothing here is a check value, and no figure is any maker's: a sheet of a real damper is typed in by its shop.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class DemoModel:
    maker: str
    name: str
    construction: str
    adjusters: tuple[tuple[str, str, str, float, float], ...] = ()
    short: str = ""


REBOUND = ("Rebound", "clicks", "closed", 0, 16)
LOW = ("Compression, low speed", "clicks", "closed", 0, 20)
HIGH = ("Compression, high speed", "turns", "closed", 0, 3)

MODELS = (
    DemoModel("Keldmark", "K25", "reservoir", (REBOUND, LOW, HIGH), "K25"),
    DemoModel("Orrinsk", "R3", "reservoir", (REBOUND, LOW), "R3"),
    DemoModel("Keldmark", "K18", "ifp body", (REBOUND,), "K18"),
    DemoModel("Tavlan", "T4", "bladder", (REBOUND, LOW), "T4"),
    DemoModel("Tavlan", "T2", "emulsion", (), "T2"),
    DemoModel("Orrinsk", "S2", "through-rod", (REBOUND,), "S2"),
    DemoModel("Brackwey", "B7", "twin-tube", (), "B7"),
)


@dataclass(frozen=True)
class DemoSheet:
    """The invented figures of one model: name → (low, target, high) as written, absolute or not, or words.

    `at` gives figures for one position each (a spring, a side, a fastener); `puller` is the IFP's thread, "" for none.
    """

    model: str
    source: str
    figures: dict[str, tuple[str, str, str]]
    at: dict[tuple[str, str], tuple[str, str, str]] = field(default_factory=dict)
    absolute: tuple[str, ...] = ("charge most", "bind gap")
    words: dict[str, str] = field(default_factory=dict)
    oil_ml: int = 1120
    puller: str = ""


SHEETS = (
    DemoSheet(
        "K25",
        "Keldmark service sheet K25, invented for the demo",
        {
            "eye centres": ("28 in", "28 1/16 in", "28 1/8 in"),
            "preload": ("1 3/4 in", "2 1/8 in", "2 3/4 in"),
            "collar pitch": ("", "2 mm", ""),
            "retainer gap": ("0 in", "", "0.060 in"),
            "charge": ("130 psi", "140 psi", "150 psi"),
            "charge most": ("", "", "220 psi"),
            "ifp depth": ("3 3/16 in", "3 1/4 in", "3 5/16 in"),
            "nut torque": ("30 ft-lb", "32 ft-lb", "34 ft-lb"),
            "seal head torque": ("60 ft-lb", "65 ft-lb", "70 ft-lb"),
            "body bore": ("", "2 3/8 in", ""),
            "rod diameter": ("", "3/4 in", ""),
            "stroke": ("", "10 in", ""),
            "reservoir bore": ("", "60 mm", ""),
            "reservoir length": ("", "8 in", ""),
            "cap depth": ("", "5/8 in", ""),
            "ifp thickness": ("", "3/4 in", ""),
            "ifp clearance": ("", "1/4 in", ""),
            "oil volume": ("1100 ml", "1120 ml", "1140 ml"),
            "oil expansion": ("", "0.00075", ""),
            "hot temperature": ("", "80 °C", ""),
            "rod runout": ("0 in", "", "0.002 in"),
            "bind gap": ("1/8 in", "", ""),
            "interval distance": ("", "1500 mi", ""),
            "interval running": ("", "150 h", ""),
            "interval months": ("", "12", ""),
        },
        at={
            ("spring rate", "tender"): ("", "150 lbf/in", ""),
            ("spring rate", "main"): ("", "300 lbf/in", ""),
            ("spring free length", "tender"): ("", "4 in", ""),
            ("spring free length", "main"): ("", "14 in", ""),
        },
        words={"bleed screw torque": "no figure given: snug"},
        puller="M10 × 1",
    ),
    DemoSheet(
        "R3",
        "Orrinsk workshop leaflet R3, invented for the demo",
        {
            "eye centres": ("506 mm", "508 mm", "510 mm"),
            "preload": ("20 mm", "28 mm", "45 mm"),
            "collar pitch": ("", "1.5 mm", ""),
            "retainer gap": ("0 mm", "", "1.5 mm"),
            "charge": ("11 bar", "12 bar", "13 bar"),
            "charge most": ("", "", "16 bar"),
            "ifp depth": ("62 mm", "64 mm", "66 mm"),
            "nut torque": ("26 N·m", "28 N·m", "30 N·m"),
            "seal head torque": ("70 N·m", "75 N·m", "80 N·m"),
            "body bore": ("", "46 mm", ""),
            "rod diameter": ("", "16 mm", ""),
            "stroke": ("", "150 mm", ""),
            "reservoir bore": ("", "46 mm", ""),
            "reservoir length": ("", "150 mm", ""),
            "cap depth": ("", "14 mm", ""),
            "ifp thickness": ("", "18 mm", ""),
            "ifp clearance": ("", "5 mm", ""),
            "oil volume": ("390 ml", "400 ml", "410 ml"),
            "oil expansion": ("", "0.00075", ""),
            "hot temperature": ("", "80 °C", ""),
            "rod runout": ("0 mm", "", "0.05 mm"),
            "interval distance": ("", "3000 km", ""),
            "interval running": ("", "180 h", ""),
            "interval months": ("", "18", ""),
        },
        words={"bleed screw torque": "no figure given: snug"},
        oil_ml=400,
        puller="M8 × 1",
    ),
    DemoSheet(
        "K18",
        "Keldmark service sheet K18, invented for the demo",
        {
            "eye centres": ("17 7/8 in", "17 15/16 in", "18 in"),
            "preload": ("1 in", "1 3/8 in", "2 in"),
            "collar pitch": ("", "1.5 mm", ""),
            "retainer gap": ("0 in", "", "0.060 in"),
            "charge": ("145 psi", "150 psi", "160 psi"),
            "charge most": ("", "", "240 psi"),
            "ifp depth": ("1 1/2 in", "1 9/16 in", "1 5/8 in"),
            "nut torque": ("22 ft-lb", "24 ft-lb", "26 ft-lb"),
            "seal head torque": ("45 ft-lb", "50 ft-lb", "55 ft-lb"),
            "body bore": ("", "1 13/16 in", ""),
            "rod diameter": ("", "9/16 in", ""),
            "stroke": ("", "4 3/4 in", ""),
            "reservoir bore": ("", "1 13/16 in", ""),
            "reservoir length": ("", "4 3/4 in", ""),
            "cap depth": ("", "1/2 in", ""),
            "ifp thickness": ("", "5/8 in", ""),
            "ifp clearance": ("", "1/8 in", ""),
            "oil volume": ("300 ml", "310 ml", "320 ml"),
            "oil expansion": ("", "0.00075", ""),
            "hot temperature": ("", "80 °C", ""),
            "bind gap": ("1/8 in", "", ""),
            "interval distance": ("", "2500 km", ""),
            "interval running": ("", "120 h", ""),
            "interval months": ("", "12", ""),
        },
        at={
            ("spring rate", "main"): ("", "450 lbf/in", ""),
            ("spring free length", "main"): ("", "8 in", ""),
        },
        words={"bleed screw torque": "no figure given: snug"},
        oil_ml=310,
        puller="M8 × 1",
    ),
    DemoSheet(
        "T4",
        "Tavlan bench notes T4, invented for the demo",
        {
            "eye centres": ("608 mm", "610 mm", "612 mm"),
            "preload": ("25 mm", "32 mm", "50 mm"),
            "collar pitch": ("", "2 mm", ""),
            "retainer gap": ("0 mm", "", "1.5 mm"),
            "charge": ("9 bar", "10 bar", "11 bar"),
            "charge most": ("", "", "15 bar"),
            "nut torque": ("26 N·m", "28 N·m", "30 N·m"),
            "seal head torque": ("80 N·m", "85 N·m", "90 N·m"),
            "body bore": ("", "50 mm", ""),
            "rod diameter": ("", "16 mm", ""),
            "stroke": ("", "180 mm", ""),
            "oil volume": ("590 ml", "600 ml", "610 ml"),
            "bind gap": ("4 mm", "", ""),
            "interval distance": ("", "12000 mi", ""),
            "interval months": ("", "18", ""),
        },
        at={
            ("spring rate", "main"): ("", "52 N/mm", ""),
            ("spring free length", "main"): ("", "320 mm", ""),
        },
        oil_ml=600,
    ),
    DemoSheet(
        "T2",
        "Tavlan bench notes T2, invented for the demo",
        {
            "eye centres": ("398 mm", "400 mm", "402 mm"),
            "preload": ("15 mm", "20 mm", "35 mm"),
            "collar pitch": ("", "1.5 mm", ""),
            "retainer gap": ("0 mm", "", "1.5 mm"),
            "charge": ("5.5 bar", "6 bar", "6.5 bar"),
            "charge most": ("", "", "10 bar"),
            "nut torque": ("18 N·m", "20 N·m", "22 N·m"),
            "seal head torque": ("50 N·m", "55 N·m", "60 N·m"),
            "body bore": ("", "36 mm", ""),
            "rod diameter": ("", "14 mm", ""),
            "stroke": ("", "110 mm", ""),
            "oil volume": ("232 ml", "235 ml", "238 ml"),
            "bind gap": ("3 mm", "", ""),
            "interval running": ("", "400 h", ""),
            "interval months": ("", "24", ""),
        },
        at={
            ("spring rate", "main"): ("", "28 N/mm", ""),
            ("spring free length", "main"): ("", "210 mm", ""),
        },
        oil_ml=235,
    ),
    DemoSheet(
        "S2",
        "Orrinsk workshop leaflet S2, invented for the demo",
        {
            "eye centres": ("318 mm", "320 mm", "322 mm"),
            "preload": ("10 mm", "14 mm", "22 mm"),
            "collar pitch": ("", "1 mm", ""),
            "retainer gap": ("0 mm", "", "1.5 mm"),
            "charge": ("3.5 bar", "4 bar", "4.5 bar"),
            "charge most": ("", "", "8 bar"),
            "ifp depth": ("18 mm", "19 mm", "20 mm"),
            "nut torque": ("20 N·m", "22 N·m", "24 N·m"),
            "body bore": ("", "40 mm", ""),
            "rod diameter": ("", "14 mm", ""),
            "stroke": ("", "65 mm", ""),
            "oil volume": ("94 ml", "97 ml", "100 ml"),
            "bind gap": ("2 mm", "", ""),
            "interval distance": ("", "10000 km", ""),
            "interval months": ("", "12", ""),
        },
        at={
            ("seal head torque", "compression"): ("38 N·m", "40 N·m", "42 N·m"),
            ("seal head torque", "rebound"): ("48 N·m", "50 N·m", "52 N·m"),
            ("fastener torque", "compensator to body"): ("7 N·m", "8 N·m", "9 N·m"),
            ("fastener torque", "rod eye"): ("38 N·m", "40 N·m", "42 N·m"),
            ("spring rate", "main"): ("", "95 N/mm", ""),
            ("spring free length", "main"): ("", "160 mm", ""),
        },
        words={"bleed screw torque": "no figure given: snug"},
        oil_ml=97,
        puller="M8 × 1",
    ),
    DemoSheet(
        "B7",
        "Brackwey bench card B7, the build with a gland nut, invented for the demo",
        {
            "eye centres": ("438 mm", "440 mm", "442 mm"),
            "preload": ("0 mm", "10 mm", "30 mm"),
            "collar pitch": ("", "2 mm", ""),
            "retainer gap": ("0 mm", "", "1.5 mm"),
            "charge": ("2.5 bar", "3 bar", "3.5 bar"),
            "charge most": ("", "", "6 bar"),
            "nut torque": ("20 N·m", "22 N·m", "24 N·m"),
            "seal head torque": ("90 N·m", "100 N·m", "110 N·m"),
            "body bore": ("", "32 mm", ""),
            "rod diameter": ("", "16 mm", ""),
            "stroke": ("", "150 mm", ""),
            "oil volume": ("335 ml", "340 ml", "345 ml"),
            "bind gap": ("4 mm", "", ""),
            "interval distance": ("", "20000 mi", ""),
            "interval months": ("", "24", ""),
        },
        at={
            ("spring rate", "main"): ("", "22 N/mm", ""),
            ("spring free length", "main"): ("", "300 mm", ""),
        },
        oil_ml=340,
    ),
)

KITS = (
    (
        "K25-R",
        "Seal kit, Keldmark K25",
        "62.00",
        "K25",
        ("RS-19", "OR-210", "OR-222", "OR-013", "WB-60", "NUT-M12"),
    ),
    (
        "R3-R",
        "Seal kit, Orrinsk R3",
        "54.00",
        "R3",
        ("RS-16", "OR-210", "OR-222", "OR-013", "WB-60", "NUT-M12"),
    ),
    (
        "K18-R",
        "Seal kit, Keldmark K18",
        "48.00",
        "K18",
        ("RS-14", "OR-210", "OR-222", "OR-013", "WB-60", "NUT-M12"),
    ),
    ("T4-R", "Seal kit, Tavlan T4", "71.00", "T4", ("RS-16", "OR-210", "OR-222", "BL-50", "NUT-M12")),
    ("T2-R", "Seal kit, Tavlan T2", "33.00", "T2", ("RS-14", "OR-210", "NUT-M12")),
    (
        "S2-R",
        "Seal kit, Orrinsk S2",
        "66.00",
        "S2",
        ("RS-14", "RS-14", "OR-210", "OR-210", "OR-013", "NUT-M12"),
    ),
    ("B7-R", "Seal kit, Brackwey B7", "29.00", "B7", ("RS-16", "OR-210", "NUT-M12")),
)
"""Each kit's number, name, price, model and items; an item named twice is needed twice."""

"""The invented shop: Saltmarsh Damper Works in the invented harbour town of Ostrey Haven.

Every name, maker, model, number and figure here is made up for the demo. Phones are from the range kept for fiction,
addresses under example.com. Nothing here is a check value: the tests of the calculations hold against published ones.
"""

from __future__ import annotations

from dataclasses import dataclass

SHOP = {
    "name": "Saltmarsh Damper Works",
    "address": "Unit 6, Pump Quay\nOstrey Haven",
    "phone": "555-0114",
    "email": "bench@example.com",
    "tax_number": "OH 204 118 7",
    "currency": "USD",
    "payment_days": 14,
    "report_footer": "The maker's sheet comes first. Look the damper over after the first hard day.",
    "invoice_footer": "Thank you. Payable within 14 days.",
}

PASSWORD = "pump-quay-six"

TERMS = (
    "1. We do the work that was agreed and ask before we do more.\n"
    "2. The maker's sheet and local codes come first.\n"
    "3. A damper that is found unsafe to use is not charged; we say why in writing.\n"
    "4. Work on a rebuild is warranted for 180 days when the damper was used as intended.\n"
    "5. Dampers not fetched within 60 days may be charged for storage."
)


@dataclass(frozen=True)
class DemoPerson:
    login: str
    name: str
    initials: str
    roles: tuple[str, ...]
    skills: tuple[str, ...] = ()
    trainee: bool = False
    shown: str = ""


PEOPLE = (
    DemoPerson("pia", "Pia Vale", "PV", ("desk",), shown="front desk"),
    DemoPerson("mo", "Mo Oduya", "MO", ("technician",), ("charging", "bladders"), shown="technician"),
    DemoPerson(
        "jorun",
        "Jorun Teske",
        "JT",
        ("owner", "desk", "technician"),
        ("charging", "final check"),
        shown="owner",
    ),
    DemoPerson("ilse", "Ilse Brandvik", "IB", ("technician",), ("charging",)),
    DemoPerson("ravi", "Ravi Quennell", "RQ", ("technician",), ("releasing",), True),
    DemoPerson("anouk", "Anouk Merrow", "AM", ("desk",)),
)

BAYS = ("bay 1", "bay 2", "bay 3", "bay 4")


@dataclass(frozen=True)
class DemoCustomer:
    """A customer, the vehicle, and what is on it: model, serial, place."""

    name: str
    kind: str
    phone: str
    vehicle: str
    plate: str
    meter: str
    hard: bool
    dampers: tuple[tuple[str, str, str], ...]


CORNERS = ("front left", "front right", "rear left", "rear right")


def _four(model: str, first: int, prefix: str) -> tuple[tuple[str, str, str], ...]:
    return tuple((model, f"{prefix}-{first + n * 17}", corner) for n, corner in enumerate(CORNERS))


CUSTOMERS = (
    DemoCustomer("Cobble Hollow Racing", "firm", "555-0133", "Long-travel buggy, 2 seats", "7K 204", "5980 mi", True,
                 _four("K25", 118834, "KM25")),
    DemoCustomer("Olu Pereira", "person", "555-0121", "Crew-cab truck", "HB 41 RT", "48210 mi", False,
                 _four("T4", 7741, "TV4")),
    DemoCustomer("Tilda Fenwright", "person", "555-0147", "Touring motorcycle", "R 881", "12044 km", False,
                 (("S2", "OS2-3310", "rear centre"), ("S2", "OS2-3311", "front centre"))),
    DemoCustomer("Bramwell Hay and Feed", "firm", "555-0160", "Farm utility, 4 wheels", "", "1310 h", False,
                 _four("T2", 2208, "TV2")),
    DemoCustomer("Lene Achterhof", "person", "555-0118", "Side-by-side, 4 seats", "SB 77", "3355 mi", True,
                 _four("R3", 90112, "OR3")),
    DemoCustomer("Marram Point Rally Club", "firm", "555-0175", "Rally car, two-wheel drive", "MP 19", "20118 km", True,
                 _four("K18", 55012, "KM18")),
    DemoCustomer("Gita Sundaram", "person", "555-0129", "Light pick-up", "GS 302", "60433 mi", False,
                 (("B7", "BW7-104", "rear left"), ("B7", "BW7-105", "rear right"))),
    DemoCustomer("Wyn Dallimore", "person", "555-0108", "Dune buggy, 1 seat", "", "840 h", True,
                 (("R3", "OR3-91230", "rear left"), ("R3", "OR3-91231", "rear right"))),
    DemoCustomer("Ostrey Beach Rescue", "firm", "555-0191", "Rescue buggy 1", "OBR 1", "2210 h", True,
                 _four("K25", 121400, "KM25")),
    DemoCustomer("Halden Trail Tours", "firm", "555-0152", "Tour buggy 3", "HT 3", "15870 km", True,
                 _four("R3", 92500, "OR3")),
    DemoCustomer("Ferris Okonjo", "person", "555-0139", "Desert truck", "FO 88", "9120 mi", True,
                 (("K25", "KM25-130201", "rear left"), ("K25", "KM25-130202", "rear right"))),
    DemoCustomer("Nell Quarrie", "person", "555-0166", "Adaptive downhill cart", "", "310 h", True,
                 (("R3", "OR3-93001", "seat"), ("K18", "KM18-56100", "rear centre"))),
)  # fmt: skip

"""Who comes to the invented shop beside those of names.py: clubs, farms and private people with their machines.

All of it is made up from lists of invented villages and names by a seed. Phones are from the numbers kept for fiction
in every area (555-0100 to 555-0199), addresses under example.com.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopapp.demo import names

FARMS, PEOPLE = 8, 39
"""How many of each a scale of one has; with one adaptive club and the twelve of names.py that makes sixty."""

BEGIN = (
    "Amber", "Bracken", "Cinder", "Dun", "Elder", "Fen", "Gorse", "Heron", "Ibis", "Juniper", "Kettle", "Linnet",
    "Mallow", "Nettle", "Otter", "Pebble", "Quill", "Rush", "Sedge", "Tansy", "Umber", "Vetch", "Willow", "Yarrow",
)  # fmt: skip
END = ("brook", "combe", "dale", "fold", "garth", "holm", "hythe", "ley", "mere", "stead", "wick", "worth")
WHICH = ("Upper", "Lower", "Great", "Little", "East", "West", "Old", "New")
FIRST = (
    "Ada", "Bero", "Cass", "Dain", "Edda", "Fenn", "Gael", "Hollis", "Ines", "Joss", "Kaia", "Lorn", "Maren", "Nils",
    "Odile", "Perrin", "Quin", "Runa", "Soren", "Tova", "Ulla", "Vesna", "Wren", "Yara", "Zeno", "Alba", "Corin",
    "Elke",
)  # fmt: skip
LAST = (
    "Abarrow", "Brindle", "Caskey", "Dorvane", "Estermont", "Farrowby", "Greel", "Hathersby", "Ingold", "Jessamy",
    "Kestrelling", "Lowther-Finn", "Marchbank", "Norringham", "Oakshott", "Pellow", "Quarles", "Ravenhall", "Sillitoe",
    "Tamsett", "Underhay", "Varley-Orr", "Wetherall", "Yelland", "Zabriel", "Applegarth", "Birdsong", "Crannock",
)  # fmt: skip


@dataclass(frozen=True)
class Machine:
    """One vehicle: `meter` is mi, km or h; it showed `start` when it first came and gains `a_month`.

    `mounts` are model, serial and place of what is on it; `months` how long it goes between services as it is used.
    """

    description: str
    plate: str
    meter: str
    start: float
    a_month: float
    hard: bool
    months: float
    mounts: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Owner:
    """A customer with machines. One of names.py brings more of them: then the rest is known already."""

    name: str
    kind: str
    phone: str
    machines: tuple[Machine, ...]
    person: str = ""
    known: bool = False

    @property
    def email(self) -> str:
        if self.known:
            return f"{self.name.split()[0].casefold()}@example.com"
        words = "".join(mark if mark.isalnum() and mark.isascii() else "." for mark in self.name.casefold())
        return f"{words.strip('.')}@example.com".replace("..", ".")


@dataclass
class Names:
    """Draws names, plates, phones and serials so that none comes twice."""

    rng: random.Random
    serial: int = 200_000
    plate: int = 1000

    def __post_init__(self) -> None:
        villages = [f"{first}{end}" for first, end in itertools.product(BEGIN, END)]
        more = (f"{which} {name}" for which, name in itertools.product(WHICH, villages))
        self.villages = itertools.chain(self._shuffled(iter(villages)), self._shuffled(more))
        people = self._shuffled(f"{first} {last}" for first, last in itertools.product(FIRST, LAST))
        double = itertools.product(FIRST, FIRST, LAST)
        self.people = itertools.chain(
            people, self._shuffled(f"{one}-{two} {last}" for one, two, last in double if one != two)
        )
        phones = ((area, end) for area, end in itertools.product(range(210, 990), range(100, 200)))
        self.phones = self._shuffled(f"{area}-555-0{end}" for area, end in phones if area % 100 != 11)

    def _shuffled(self, words: Iterator[str]) -> Iterator[str]:
        listed = list(words)
        self.rng.shuffle(listed)
        return iter(listed)

    def mounts(self, model: str, places: Sequence[str]) -> tuple[tuple[str, str, str], ...]:
        prefix = {
            "K25": "KM25",
            "R3": "OR3",
            "K18": "KM18",
            "T4": "TV4",
            "T2": "TV2",
            "S2": "OS2",
            "B7": "BW7",
        }[model]
        found = []
        for place in places:
            self.serial += self.rng.randint(3, 19)
            found.append((model, f"{prefix}-{self.serial}", place))
        return tuple(found)

    def new_plate(self) -> str:
        self.plate += self.rng.randint(2, 9)
        return f"{self.rng.choice('BDFHKLMPRST')}{self.rng.choice('ACEGJNVX')} {self.plate}"


FOUR = names.CORNERS
PAIR = ("rear left", "rear right")


def owners(rng: random.Random, scale: int) -> list[Owner]:
    """Give those who come beside the customers of names.py: at a scale of one 48 of them."""
    drawn = Names(rng)
    found = []
    for unit in range(scale):
        found += _clubs(drawn, first=unit == 0)
        found += [_farm(drawn) for _ in range(FARMS + (0 if unit == 0 else 4))]
        found += [_person(drawn) for _ in range(PEOPLE + (0 if unit == 0 else 5))]
    return found


def _clubs(drawn: Names, *, first: bool) -> list[Owner]:
    """Give a rescue club, a tour company, a rally team and an adaptive club; the first ones are those of names.py."""
    known = ("Ostrey Beach Rescue", "Halden Trail Tours", "Marram Point Rally Club")
    rescue, tours, rally = (
        known
        if first
        else tuple(f"{next(drawn.villages)} {what}" for what in ("Beach Rescue", "Trail Tours", "Rally Team"))
    )
    adaptive = "Saltmarsh Adaptive Downhill" if first else f"{next(drawn.villages)} Adaptive Downhill"
    return [
        _club(drawn, rescue, first, 8, "Rescue buggy", "h", ("K25", FOUR), (900, 2400), (16, 34), 6.5),
        _club(drawn, tours, first, 7, "Tour buggy", "km", ("R3", FOUR), (6000, 21000), (420, 800), 5.5),
        _club(drawn, rally, first, 5, "Rally car", "km", ("K18", FOUR), (9000, 30000), (300, 620), 5.0),
        _club(drawn, adaptive, False, 6, "Downhill cart", "h", ("R3", ("seat",)), (120, 420), (9, 18), 9.0),
    ]  # fmt: skip


def _club(
    drawn: Names,
    name: str,
    known: bool,
    count: int,
    what: str,
    meter: str,
    fitted: tuple[str, Sequence[str]],
    start: tuple[int, int],
    a_month: tuple[int, int],
    months: float,
) -> Owner:
    rng = drawn.rng
    machines = []
    for number in range(1, count + 1):
        if known and f"{what} {number}" in {one.vehicle for one in names.CUSTOMERS if one.name == name}:
            continue
        mounts = drawn.mounts(fitted[0], fitted[1])
        if fitted[1] == ("seat",):
            mounts += drawn.mounts("K18", ("rear centre",))
        machines.append(
            Machine(
                f"{what} {number}", drawn.new_plate() if meter == "km" else "", meter, rng.randint(*start),
                rng.randint(*a_month), True, months, mounts,
            )
        )  # fmt: skip
    return Owner(name, "firm", next(drawn.phones), tuple(machines), next(drawn.people), known)


def _farm(drawn: Names) -> Owner:
    rng = drawn.rng
    name = f"{next(drawn.villages)} {rng.choice(('Farm', 'Hay and Seed', 'Dairy', 'Orchards', 'Sheep Farm'))}"
    machines = tuple(
        Machine(
            rng.choice(("Farm utility, 4 wheels", "Farm utility, 6 wheels", "Flock quad", "Feed cart")), "", "h",
            rng.randint(400, 2600), rng.randint(18, 45), False, 13.0, drawn.mounts("T2", FOUR),
        )
        for _ in range(rng.choice((1, 1, 2, 2)))
    )  # fmt: skip
    return Owner(name, "firm", next(drawn.phones), machines, next(drawn.people))


PRIVATE = (
    ("Crew-cab truck", "mi", (22_000, 90_000), (600, 1_150), False, 16.0, "T4", FOUR),
    ("Light pick-up", "mi", (30_000, 110_000), (500, 1_000), False, 18.0, "B7", PAIR),
    ("Touring motorcycle", "km", (8_000, 40_000), (350, 900), False, 12.0, "S2", ("front centre", "rear centre")),
    ("Side-by-side, 2 seats", "mi", (900, 4_500), (110, 260), True, 8.0, "R3", PAIR),
    ("Side-by-side, 4 seats", "mi", (900, 4_500), (110, 260), True, 8.0, "R3", FOUR),
    ("Dune buggy, 1 seat", "h", (150, 900), (6, 16), True, 9.0, "R3", PAIR),
    ("Desert truck", "mi", (3_000, 14_000), (150, 380), True, 7.0, "K25", PAIR),
    ("Long-travel buggy, 2 seats", "mi", (1_500, 8_000), (130, 330), True, 7.0, "K25", PAIR),
)  # fmt: skip


def _person(drawn: Names) -> Owner:
    rng = drawn.rng
    what, meter, start, a_month, hard, months, model, places = rng.choice(PRIVATE)
    machine = Machine(
        what, drawn.new_plate() if meter != "h" else "", meter, rng.randint(*start), rng.randint(*a_month), hard,
        months, drawn.mounts(model, places),
    )  # fmt: skip
    return Owner(next(drawn.people), "person", next(drawn.phones), (machine,))


def known_machine(customer: names.DemoCustomer, rng: random.Random) -> Machine:
    """Give the machine of a customer of names.py, whose meter was read when the shop's books began."""
    figure, _blank, meter = customer.meter.partition(" ")
    a_month = {"mi": (120, 320), "km": (250, 600), "h": (8, 28)}[meter]
    months = 7.0 if customer.hard else 14.0
    return Machine(
        customer.vehicle, customer.plate, meter, float(figure), rng.randint(*a_month), customer.hard, months,
        customer.dampers,
    )  # fmt: skip

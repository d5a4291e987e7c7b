"""When who came to the invented shop: visits over eighteen months, each with what was brought and for which work."""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from shopapp.demo.fleet import Machine, Owner

LONGEST, LATEST = 528, 31
"""Days ago: the first visit that may be, and the last that is written in bulk (what is later goes by the services)."""
DAYS_A_MONTH = 30.4
APART = 120
"""Days between a visit written in bulk and one of the same damper that is told as a story."""


@dataclass(frozen=True)
class Visit:
    """One machine at the counter: `take` are the places of its mounts, `back` is set for what came back too soon."""

    day: date
    owner: Owner
    machine: Machine
    take: tuple[int, ...]
    work: str = "rebuild"
    back: bool = False


TURN = 100_000
"""Five digits: what a meter counts before it starts again."""


@dataclass
class Meters:
    """What the machines' meters show: each gains its own amount a month from the day it first came.

    One is told to have been replaced, and one rolls over, each at its machine's second visit.
    """

    rng: random.Random
    last: dict[int, tuple[date, float]] = field(default_factory=dict)
    turns: dict[int, str] = field(default_factory=dict)

    def plan(self, visits: Iterable[Visit]) -> None:
        """Choose the machine whose meter is replaced and the one whose meter rolls over."""
        seen: set[int] = set()
        for visit in visits:
            machine, key = visit.machine, id(visit.machine)
            again = key in seen and key not in self.last
            seen.add(key)
            if again and machine.meter == "km" and "replaced" not in self.turns.values():
                self.turns[key] = "replaced"
            elif again and machine.meter == "mi" and "rolled over" not in self.turns.values():
                self.turns[key] = "rolled over"

    def shown(self, machine: Machine, day: date) -> tuple[float, str]:
        """Give what a meter shows on a day, never less than before, and which kind of reading that is."""
        key, before = id(machine), self.last.get(id(machine))
        gained = 0.0
        if before is not None:
            months = max(0.0, (day - before[0]).days / DAYS_A_MONTH)
            gained = months * machine.a_month * self.rng.uniform(0.8, 1.2)
        turn = self.turns.get(key, "")
        kind, figure = "reading", (machine.start if before is None else before[1]) + gained
        if before is None and turn == "rolled over":
            figure = TURN - machine.a_month / 10
        elif before is not None and turn:
            kind = self.turns.pop(key)
            figure = figure - TURN if kind == "rolled over" else gained / 4
        self.last[key] = (day, figure)
        return figure, kind


def text_of(machine: Machine, figure: float) -> str:
    """Write a meter's figure as it is typed at the counter."""
    return f"{figure:,.0f} {machine.meter}"


def visits(
    whose: Iterable[tuple[Owner, Machine, dict[int, int]]], today: date, rng: random.Random
) -> list[Visit]:
    """Plan the visits of all machines in the order of their days.

    Each machine comes with how many days ago which of its mounts are told as a story: those keep clear of it.
    """
    found: list[Visit] = []
    for owner, machine, told in whose:
        found += _of_machine(owner, machine, told, today, rng)
    return sorted(found, key=lambda visit: visit.day)


def _of_machine(
    owner: Owner, machine: Machine, told: dict[int, int], today: date, rng: random.Random
) -> list[Visit]:
    found = []
    ago = float(rng.randint(LATEST, LONGEST) if rng.random() < 0.4 else rng.randint(300, LONGEST))
    stays = rng.random() > 0.2  # one in five does not come back: that is whom the shop writes to
    while ago >= LATEST:
        day = workday(today - timedelta(days=round(ago)))
        free = [n for n in range(len(machine.mounts)) if told.get(n, -APART) + APART <= ago]
        take = _taken(free, rng)
        if take and (today - day).days >= LATEST:
            work = rng.choices(("rebuild", "inspect", "springs"), (86, 9, 5))[0]
            found.append(Visit(day, owner, machine, take, work))
            found += _comeback(found[-1], told, today, rng)
        if not stays:
            break
        ago -= machine.months * DAYS_A_MONTH * rng.uniform(0.8, 1.35)
    return found


def _taken(free: list[int], rng: random.Random) -> tuple[int, ...]:
    """Take all four, a pair, or one that leaks."""
    if len(free) <= 2:
        return tuple(free)
    how = rng.random()
    if how < 0.6:
        return tuple(free)
    return tuple(free[:2]) if how < 0.9 else (rng.choice(free),)


def _comeback(first: Visit, told: dict[int, int], today: date, rng: random.Random) -> list[Visit]:
    """Let one in ten visits for rebuilds come back within its warranty."""
    if first.work != "rebuild" or rng.random() > 0.1:
        return []
    day = workday(first.day + timedelta(days=rng.randint(20, 110)))
    number = rng.choice(first.take)
    ago = (today - day).days
    if ago < LATEST or told.get(number, -APART) + APART > ago:
        return []
    return [Visit(day, first.owner, first.machine, (number,), back=True)]


def workday(day: date) -> date:
    """Move a day of the weekend to the Monday after it."""
    return day + timedelta(days=7 - day.weekday()) if day.weekday() > 4 else day

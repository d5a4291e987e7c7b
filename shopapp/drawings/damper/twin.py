"""Say in words what the drawing shows: for a plain table, and for who does not see it."""

from collections.abc import Sequence

from shopapp.drawings.damper.balloons import Balloon
from shopapp.drawings.damper.numbers import (
    FIGURES,
    WITH_LEVEL,
    DamperNumbers,
    Dimension,
    SectionWords,
    asked,
)


def damper_table(numbers: DamperNumbers, words: SectionWords | None = None) -> list[tuple[str, str, str]]:
    """Give the drawing's figures as rows: name in code, caption, figure as typed or "not measured"."""
    said = words or SectionWords()
    has = asked(numbers)
    rows: list[tuple[str, str, str]] = []
    for name in (one for one in FIGURES if one in has):
        value: Dimension | str = getattr(numbers, name)
        shown = value.shown if isinstance(value, Dimension) and value.measured else ""
        shown = value if isinstance(value, str) else shown
        rows.append((name, _first_up(getattr(said, name)), shown or said.unmeasured))
    if numbers.build in WITH_LEVEL:
        rows.append(("level", _first_up(said.level), said.unmeasured))
    for number, spring in enumerate(numbers.springs, start=1):
        rows.append((f"spring_{number}", f"{said.spring} {number}", spring.text or said.unmeasured))
    return rows


def spoken(numbers: DamperNumbers, words: SectionWords, balloons: Sequence[Balloon] = ()) -> str:
    """Say the whole drawing in one sentence for the screen reader."""
    rows = damper_table(numbers, words)
    found = [f"{words.finding} {one.number}: {one.words or one.part}" for one in balloons]
    return ". ".join([words.title, *(f"{caption}: {shown}" for _, caption, shown in rows), *found])


def names(numbers: DamperNumbers, words: SectionWords) -> dict[str, str]:
    """Name each figure with its words, for a link whose drawn text is the figure alone."""
    return {name: f"{caption}: {shown}" for name, caption, shown in damper_table(numbers, words)}


def _first_up(words: str) -> str:
    return words[:1].upper() + words[1:]

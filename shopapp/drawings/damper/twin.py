"""Say in words what the drawing shows: for a plain table, and for who does not see it."""

from collections.abc import Sequence

from shopapp.drawings.damper.balloons import Balloon
from shopapp.drawings.damper.numbers import DamperNumbers, Dimension, SectionWords

_ROWS = (
    "eye_centres",
    "stroke",
    "body_bore",
    "rod_diameter",
    "preload",
    "reservoir_bore",
    "reservoir_length",
    "ifp_depth",
)


def damper_table(numbers: DamperNumbers, words: SectionWords | None = None) -> list[tuple[str, str, str]]:
    """Give the drawing's figures as rows: name in code, caption, figure as typed or "not measured"."""
    said = words or SectionWords()
    rows = []
    for name in _ROWS:
        dimension: Dimension | None = getattr(numbers, name)
        if dimension is not None:
            shown = dimension.shown if dimension.measured else said.unmeasured
            rows.append((name, _first_up(getattr(said, name)), shown))
    for name, value in (("gas", numbers.gas), ("oil", numbers.oil)):
        if value is not None:
            rows.append((name, _first_up(getattr(said, name)), value or said.unmeasured))
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

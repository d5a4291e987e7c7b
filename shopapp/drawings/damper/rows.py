"""Choose what each construction's words are led to, and the order in which they take their places."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shopapp.drawings.damper.dims import Lettering, Rows, pointed, span
from shopapp.drawings.damper.layout import Layout
from shopapp.drawings.damper.numbers import WITH_LEVEL, Build, DamperNumbers, Dimension, SectionWords
from shopapp.drawings.svg import Point, Svg

UNNAMED = frozenset({"eye_centres", "preload"})
"""Dimensions whose line says by its ends what it measures: the figure alone stands on it."""

FREE = 400.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """All that the words of one drawing need; `shown` are the names that are written out."""

    numbers: DamperNumbers
    words: SectionWords
    place: Layout
    pen: Lettering
    dashed: frozenset[str]
    shown: frozenset[str]

    def caption(self, name: str, *, prefix: str = "") -> str:
        """Word one dimension: its name, the figure as typed or "?", and a note where it is not to scale."""
        value: Dimension | str = getattr(self.numbers, name)
        word = "" if name in UNNAMED else getattr(self.words, name) + " "
        note = f", {self.words.not_to_scale}" if name in self.place.off_scale else ""
        figure = value.shown if isinstance(value, Dimension) else value or "?"
        return f"{word}{prefix}{figure}{note}"

    @property
    def above(self) -> Rows:
        """Rows over the spring."""
        return Rows(-self.place.body.reach - 3 - self.pen.size * 0.68, -1)

    @property
    def below(self) -> Rows:
        """Rows under the spring."""
        return Rows(self.place.body.reach + 5 + self.pen.size * 0.68, 1)


def dimensions(sheet: Drawn) -> list[Svg]:
    """Draw every figure that is shown, the ones with the least choice of place first; over all, eye to eye."""
    if "eye_centres" in sheet.shown:
        _keep_free(sheet)
    steps: dict[str, Callable[[Drawn], Svg]] = {
        "preload": _preload,
        "stroke": _stroke,
        "ifp_depth": _ifp_depth,
        "reservoir_length": _tank_length,
        "gas": _gas,
        "level": _level,
        "oil": _oil,
        "rod_diameter": _rod,
        "reservoir_bore": _tank_bore,
        "body_bore": _bore,
        "eye_centres": _eyes,
    }
    wanted = sheet.shown | {"level"} if sheet.numbers.build in WITH_LEVEL else sheet.shown
    return [draw(sheet) for name, draw in steps.items() if name in wanted]


def _keep_free(sheet: Drawn) -> None:
    """Keep words out of the two columns that the eye centres' extension lines take."""
    body = sheet.place.body
    columns = [((x, -body.eye), (x, -body.reach - FREE)) for x in (body.left_eye, body.right_eye)]
    sheet.pen.paper.lines.extend(columns)


def _span(sheet: Drawn, name: str, ends: tuple[float, float], edges: tuple[float, float], rows: Rows) -> Svg:
    return span(sheet.pen, name, sheet.caption(name), ends, edges, rows, dashed=name in sheet.dashed)


def _led(
    sheet: Drawn,
    name: str,
    targets: Sequence[Point],
    *rows: Rows,
    prefix: str = "",
    dot: bool = False,
) -> Svg:
    return pointed(sheet.pen, name, sheet.caption(name, prefix=prefix), targets, rows, dot=dot)


def _preload(sheet: Drawn) -> Svg:
    body = sheet.place.body
    return _span(sheet, "preload", (body.face, body.ring), (-body.outer - 3, -body.reach), sheet.above)


def _eyes(sheet: Drawn) -> Svg:
    body = sheet.place.body
    return _span(sheet, "eye_centres", (body.left_eye, body.right_eye), (-body.eye - 6,) * 2, sheet.above)


def _stroke(sheet: Drawn) -> Svg:
    body = sheet.place.body
    return _span(sheet, "stroke", (body.seal, body.retainer - 8), (body.outer, body.rod), sheet.below)


def _rod(sheet: Drawn) -> Svg:
    body = sheet.place.body
    middle = (body.seal + 8 + body.retainer) / 2
    targets = [(body.retainer - 3, body.rod), (middle, -body.rod)]
    return _led(sheet, "rod_diameter", targets, sheet.below, sheet.above, prefix="⌀ ")


def _bore(sheet: Drawn) -> Svg:
    body = sheet.place.body
    edge = body.half if body.shell else body.outer
    across = (body.face + 12, (body.face + body.seal) / 2, body.seal - 26)
    targets = [(x, sign * edge) for x in across for sign in (1, -1)]
    return _led(sheet, "body_bore", targets, sheet.below, sheet.above, prefix="⌀ ")


def _tank_rows(sheet: Drawn) -> Rows:
    """Give the rows under the reservoir or compensator."""
    tank = sheet.place.reservoir
    edge = sheet.place.body.reach if tank is None else tank.axis + tank.outer
    return Rows(edge + 3 + sheet.pen.size * 0.68, 1)


def _ifp_depth(sheet: Drawn) -> Svg:
    body, tank = sheet.place.body, sheet.place.reservoir
    if tank is not None:
        edges = (tank.axis, tank.axis + tank.outer)
        return _span(sheet, "ifp_depth", (tank.gas_face, tank.right), edges, _tank_rows(sheet))
    return _span(sheet, "ifp_depth", (body.ifp or body.face, body.face), (0, body.outer), sheet.below)


def _tank_length(sheet: Drawn) -> Svg:
    tank = sheet.place.reservoir
    assert tank is not None
    edge = tank.axis + tank.outer
    return _span(sheet, "reservoir_length", (tank.left, tank.right), (edge, edge), _tank_rows(sheet))


def _tank_bore(sheet: Drawn) -> Svg:
    tank = sheet.place.reservoir
    assert tank is not None
    targets = [(tank.right - 2, tank.axis + tank.half * 0.6)]
    return _led(sheet, "reservoir_bore", targets, sheet.below, prefix="⌀ ")


def _gas(sheet: Drawn) -> Svg:
    rows = [sheet.below] if sheet.place.reservoir is not None else [sheet.above, sheet.below]
    return _led(sheet, "gas", [_in_gas(sheet.place)], *rows, dot=True)


def _in_gas(place: Layout) -> Point:
    body, tank = place.body, place.reservoir
    if tank is not None:
        x = tank.right - 40 if body.build is Build.BLADDER else (tank.gas_face + tank.right - 17) / 2
        return (x, tank.axis - tank.half * 0.4)
    if body.ifp is not None:
        return (body.ifp - 4, -body.half * 0.4)
    if body.build is Build.TWIN_TUBE:
        return ((body.level + body.seal - 18) / 2, -(body.half + body.outer) / 2)
    return ((body.face + body.level) / 2, -body.half * 0.4)


def _oil(sheet: Drawn) -> Svg:
    body, tank = sheet.place.body, sheet.place.reservoir
    if tank is not None and body.build is not Build.THROUGH_ROD:
        rows = (_tank_rows(sheet), sheet.below)
        return _led(sheet, "oil", [(tank.left + 15, tank.axis - tank.half * 0.3)], *rows, dot=True)
    return _led(sheet, "oil", [(body.seal - 84, -body.half * 0.45)], sheet.above, sheet.below, dot=True)


def _level(sheet: Drawn) -> Svg:
    """Point at the level that no figure gives: it is drawn dashed, and asks."""
    body = sheet.place.body
    height = -(body.half + body.outer) / 2 if body.build is Build.TWIN_TUBE else -body.half * 0.6
    words = f"{sheet.words.level} ?"
    return pointed(sheet.pen, "level", words, [(body.level, height)], [sheet.above, sheet.below])

"""Draw what is inside the body, by the construction: oil alone, gas behind an IFP, gas over oil, two tubes."""

from shopapp.drawings.damper.layout import IFP_LENGTH, Body
from shopapp.drawings.damper.numbers import Build
from shopapp.drawings.strokes import THIN, Box, box, hatch, liquid
from shopapp.drawings.svg import SHEET, Svg, circle, group, line

VALVE_ON_CAP = frozenset({Build.IFP_BODY, Build.EMULSION, Build.TWIN_TUBE})
"""Constructions whose gas valve sits on the body's own cap."""
UNMEASURED = "5 4"


def inside(body: Body, dashed: frozenset[str]) -> Svg:
    """Draw the oil above the axis, and the gas where it is in the body."""
    if body.ifp is not None:
        return _behind_ifp(body, body.ifp, unmeasured="ifp_depth" in dashed)
    if body.build is Build.EMULSION:
        return _mixed(body)
    if body.build is Build.TWIN_TUBE:
        return _two_tubes(body)
    return liquid(Box(body.face, -body.half, body.seal - 18, 0))


def ifp_block(face: float, top: float, bottom: float, *, oil_side: float, unmeasured: bool) -> Svg:
    """Draw an IFP with its ring from its gas face (`face`) to its oil side; dashed and open where not measured."""
    left, right = sorted((face, oil_side))
    area = Box(left, top, right, bottom)
    if unmeasured:
        return box(area, 1.2, dash=UNMEASURED)
    middle = (left + right) / 2
    ring = Box(middle - 2.5, top, middle + 2.5, top + 4)
    return group(box(area), hatch(area, step=4), box(ring, 0, fill="currentColor"))


def valve_on_cap(body: Body) -> Svg:
    """Draw the gas valve on the cap, where it is seen from outside below the axis."""
    x, edge = (body.cap + body.face) / 2, body.outer + 3
    return group(
        box(Box(x - 5, edge, x + 5, edge + 7), 1.4, fill=SHEET), line((x, edge + 7), (x, edge + 11), 3)
    )


def _behind_ifp(body: Body, face: float, *, unmeasured: bool) -> Svg:
    oil = Box(face + IFP_LENGTH, -body.half, body.seal - 18, 0)
    block = ifp_block(face, -body.half + 1, 0, oil_side=face + IFP_LENGTH, unmeasured=unmeasured)
    return Svg(liquid(oil) + block)


def _mixed(body: Body) -> Svg:
    """Draw gas and oil without a separator: bubbles in the oil, and a dashed level that no number places."""
    oil = Box(body.level, -body.half, body.seal - 18, 0)
    top = Box(body.face, -body.half, body.level, 0)
    bubbles = []
    for index in range(7):
        x = oil.left + 9 + index * (oil.width - 70) / 7
        y = oil.top + oil.height * (0.2 + 0.17 * (index * 3 % 5))
        bubbles.append(circle((x, y), 1.6 + index % 3 * 0.6, 0.8))
    return group(box(top, 0), liquid(oil), *bubbles, _level(body, -body.half, 0))


def _level(body: Body, top: float, bottom: float) -> Svg:
    return line((body.level, top), (body.level, bottom), 1.4, UNMEASURED)


def _two_tubes(body: Body) -> Svg:
    """Draw the inner tube with its foot valve, and the oil and gas between the tubes, its level placed by no number."""
    out, thin = body.outer - body.wall, max(2.0, body.wall * 0.8)
    between = -body.half - thin
    inner = Box(body.face + 10, between, body.seal, -body.half)
    foot = Box(body.face + 10, -body.half + 1, body.face + 20, 0)
    oil = Box(body.face, -out, body.level, between)
    under = Box(body.face, between, body.face + 10, 0)
    return group(
        liquid(oil, step=4.5),
        liquid(under),
        liquid(Box(body.face + 20, -body.half, body.seal - 18, 0)),
        box(inner, THIN, fill="currentColor"),
        box(foot),
        hatch(foot, step=4),
        _level(body, -out, between),
    )

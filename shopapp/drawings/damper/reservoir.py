"""Draw what stands beside the body: a reservoir with IFP or bladder, a through-rod's compensator, and its hose."""

from shopapp.drawings.damper.chambers import ifp_block
from shopapp.drawings.damper.layout import IFP_LENGTH, Body, Reservoir
from shopapp.drawings.damper.numbers import Build
from shopapp.drawings.strokes import THICK, THIN, Box, axis_line, box, hatch, liquid
from shopapp.drawings.svg import SHEET, Svg, group, line, num, path

END = 9.0


def reservoir_parts(body: Body, reservoir: Reservoir, dashed: frozenset[str]) -> Svg:
    """Draw hose, tube, ends, separator and oil; `dashed` names what is not measured."""
    separated = _bladder if body.build is Build.BLADDER else _ifp
    return group(
        _hose(body, reservoir),
        _tube(reservoir, dashed),
        separated(reservoir, dashed),
        _closed_end(reservoir),
        _gas_end(reservoir),
        axis_line((reservoir.left - 22, reservoir.axis), (reservoir.right + 26, reservoir.axis)),
    )


def _hose(body: Body, reservoir: Reservoir) -> Svg:
    """Draw the hose as two parallel lines, and its fitting on the reservoir's closed end."""
    start, end = (body.block + body.face) / 2, reservoir.left - 14
    top, axis = body.outer + 3, reservoir.axis
    lines = []
    for half in (-5.0, 5.0):
        x, y = start - half, axis + half
        lines.append(
            f"M{num(x)} {num(top)}V{num(top + 4)}C{num(x)} {num(y)} {num(x + 8)} {num(y)} {num(end)} {num(y)}"
        )
    fitting = box(Box(reservoir.left - 14, axis - 7, reservoir.left, axis + 7), 1.4)
    return group(path("".join(lines), 1.3), fitting)


def _tube(reservoir: Reservoir, dashed: frozenset[str]) -> Svg:
    dash = "8 5" if {"reservoir_bore", "reservoir_length"} & dashed else None
    above = Box(
        reservoir.left, reservoir.axis - reservoir.outer, reservoir.right, reservoir.axis - reservoir.half
    )
    below = Box(reservoir.left, reservoir.axis, reservoir.right, reservoir.axis + reservoir.outer)
    wall = box(above, THIN, fill="currentColor") if dash is None else box(above, 1.2, dash=dash)
    return group(wall, box(below, THICK, dash=dash))


def _ifp(reservoir: Reservoir, dashed: frozenset[str]) -> Svg:
    face, top = reservoir.gas_face, reservoir.axis - reservoir.half
    oil = liquid(Box(reservoir.left + END, top, face - IFP_LENGTH, reservoir.axis))
    unmeasured = "ifp_depth" in dashed
    block = ifp_block(face, top + 1, reservoir.axis, oil_side=face - IFP_LENGTH, unmeasured=unmeasured)
    return Svg(oil + block)


def _bladder(reservoir: Reservoir, dashed: frozenset[str]) -> Svg:
    """Draw a bladder filled from the cap's end, with oil all round it; how far it is filled no number says."""
    left, right, axis = bladder_end(reservoir), reservoir.right - 8 - END, reservoir.axis
    top = axis - reservoir.half
    high = axis - reservoir.half * 0.68
    bow = min(reservoir.half * 0.6, (right - left) / 3)
    outline = (
        f"M{num(right)} {num(top + 2)}C{num(right - 6)} {num(top + 2)} {num(right - 4)} {num(high)} "
        f"{num(right - 12)} {num(high)}H{num(left + bow)}"
        f"C{num(left)} {num(high)} {num(left)} {num(high)} {num(left)} {num(axis)}H{num(right)}Z"
    )
    oil = liquid(Box(reservoir.left + END, top, right, axis))
    return group(oil, path(outline, 2.6, fill=SHEET))


def bladder_end(reservoir: Reservoir) -> float:
    """Give where a bladder ends towards the oil: a usual place."""
    return reservoir.left + (reservoir.right - reservoir.left) * 0.34


def _closed_end(reservoir: Reservoir) -> Svg:
    area = Box(reservoir.left, reservoir.axis - reservoir.outer, reservoir.left + END, reservoir.axis)
    return group(box(area), hatch(area, step=4, falling=True))


def _gas_end(reservoir: Reservoir) -> Svg:
    """Draw the cap inside the open edge, the ring that holds it, and the gas valve."""
    inner, axis = reservoir.right - 8, reservoir.axis
    top = axis - reservoir.half
    cap = Box(inner - END, top + 1, inner, axis)
    ring = Box(inner + 1, top, inner + 5, top + 5)
    seal = Box(inner - 7, top, inner - 2, top + 4)
    valve = Box(inner, axis - 5, reservoir.right + 9, axis + 5)
    core = line((reservoir.right + 9, axis), (reservoir.right + 13, axis), 3)
    return group(
        box(cap),
        hatch(cap, step=4),
        box(ring, 0, fill="currentColor"),
        box(seal, 0, fill="currentColor"),
        box(valve, 1.4, fill=SHEET),
        core,
    )

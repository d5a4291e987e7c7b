"""Draw the reservoir with its internal floating piston, and the hose that joins it to the body."""

from shopapp.drawings.damper.layout import Body, Reservoir
from shopapp.drawings.strokes import THICK, THIN, Box, axis_line, box, hatch, liquid
from shopapp.drawings.svg import SHEET, Svg, group, line, num, path

IFP_LENGTH = 20.0
END = 9.0


def reservoir_parts(body: Body, reservoir: Reservoir, dashed: frozenset[str]) -> Svg:
    """Draw hose, tube, ends, IFP and oil; `dashed` names what is not measured."""
    return group(
        _hose(body, reservoir),
        _tube(reservoir, dashed),
        _oil(reservoir),
        _ifp(reservoir, "ifp_depth" in dashed),
        _closed_end(reservoir),
        _gas_end(reservoir),
        axis_line((reservoir.left - 22, reservoir.axis), (reservoir.right + 26, reservoir.axis)),
    )


def _hose(body: Body, reservoir: Reservoir) -> Svg:
    """Draw the hose as two parallel lines, and its fitting on the reservoir's closed end."""
    start, end = (body.cap + body.face) / 2, reservoir.left - 14
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


def _oil(reservoir: Reservoir) -> Svg:
    top, bottom = reservoir.axis - reservoir.half, reservoir.axis
    return liquid(Box(reservoir.left + END, top, reservoir.gas_face - IFP_LENGTH, bottom))


def _ifp(reservoir: Reservoir, unmeasured: bool) -> Svg:
    """Draw the IFP with its ring; dashed and open where its depth is not measured."""
    right, top = reservoir.gas_face, reservoir.axis - reservoir.half + 1
    area = Box(right - IFP_LENGTH, top, right, reservoir.axis)
    if unmeasured:
        return box(area, 1.2, dash="5 4")
    ring = Box(right - IFP_LENGTH / 2 - 2.5, top, right - IFP_LENGTH / 2 + 2.5, top + 4)
    return group(box(area), hatch(area, step=4), box(ring, 0, fill="currentColor"))


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

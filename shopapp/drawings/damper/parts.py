"""Draw the body and what sits on it: above the axis cut, below it seen from outside."""

from shopapp.drawings.damper.chambers import VALVE_ON_CAP, inside, valve_on_cap
from shopapp.drawings.damper.layout import DIVIDER, RING, Body, Coil
from shopapp.drawings.damper.numbers import Build
from shopapp.drawings.strokes import THICK, THIN, Box, axis_line, box, hatch
from shopapp.drawings.svg import SHEET, Svg, circle, group, line, num, path, polygon


def body_parts(body: Body, dashed: frozenset[str]) -> Svg:
    """Draw everything on the body's axis, from the back to the front; `dashed` names what is not measured."""
    return group(
        inside(body, dashed),
        _sleeve(body) if body.build is Build.THROUGH_ROD else Svg(""),
        _rod(body, dashed),
        _piston(body),
        _tube(body, dashed),
        _seal_head(body),
        _end_block(body),
        _bump_stop(body),
        *(_coil(body, coil) for coil in body.coils),
        _adjuster(body, dashed),
        _retainer(body),
        _eye(body.left_eye, body.eye, body.cap),
        _eye(body.right_eye, body.eye, body.right_eye - body.eye),
        axis_line((body.left_eye - body.eye - 8, 0), (body.right_eye + body.eye + 8, 0)),
    )


def _end_block(body: Body) -> Svg:
    """Draw what closes the body at the eye's end: a cap, or the second seal head of a through-rod."""
    if body.build is Build.THROUGH_ROD:
        return _second_seal_head(body)
    valve = valve_on_cap(body) if body.build in VALVE_ON_CAP else Svg("")
    return Svg(_cap(body) + valve)


def _rod(body: Body, dashed: frozenset[str]) -> Svg:
    """Draw the rod whole: it is never cut and never hatched. One that goes right through ends in its sleeve."""
    dash = "6 4" if "rod_diameter" in dashed else None
    start = body.block - 8 if body.build is Build.THROUGH_ROD else body.seal - 66
    return box(Box(start, -body.rod, body.right_eye - body.eye, body.rod), 1.6, dash=dash)


def _piston(body: Body) -> Svg:
    """Draw piston, stacks and nut at the end of the rod: fully out, so close under the seal head."""
    left, right = body.seal - 54, body.seal - 40
    face = Box(left, -body.half + 1, right, -body.rod)
    band = Box(left + 3, -body.half + 0.5, right - 3, -body.half + 4)
    shims = []
    for index, share in enumerate((0.82, 0.66, 0.5)):
        top = -body.rod - (body.half - body.rod) * share
        shims.append(box(Box(left - 2.4 * (index + 1), top, left - 2.4 * index, -body.rod), 1))
        shims.append(box(Box(right + 2.4 * index, top, right + 2.4 * (index + 1), -body.rod), 1))
    nut = box(Box(left - 17, -body.rod - 3, left - 7.2, 0), 1.4)
    return group(*shims, box(face), hatch(face, step=4), box(band, 0, fill="currentColor"), nut)


def _tube(body: Body, dashed: frozenset[str]) -> Svg:
    """Draw the tube: its thin wall solid above, its outside with the collar's thread below."""
    dash = "8 5" if "body_bore" in dashed else None
    outside = Box(body.face, 0, body.seal, body.outer)
    wall = Box(body.face, -body.outer, body.seal, body.wall - body.outer)
    thread_end = body.face + (body.seal - body.face) * 0.6
    thread = line((body.face, body.outer - 2.6), (thread_end, body.outer - 2.6), THIN)
    shown = box(wall, THIN, fill="currentColor") if dash is None else box(wall, 1.2, dash=dash)
    return group(shown, box(outside, THICK, dash=dash), thread)


def _seal_head(body: Body) -> Svg:
    """Draw the seal head with its ring, the rod's seal and the wiper at the outer face."""
    top = body.wall - body.outer
    block = Box(body.seal - 18, top, body.seal, -body.rod)
    ring = Box(body.seal - 12, top, body.seal - 7, top + 4)
    seal = Box(body.seal - 12, -body.rod - 4.5, body.seal - 7, -body.rod)
    wiper = Box(body.seal - 1, -body.rod - 4.5, body.seal + 4, -body.rod)
    solid = [box(part, 0, fill="currentColor") for part in (ring, seal, wiper)]
    return group(box(block), hatch(block, step=4, falling=True), *solid)


def _cap(body: Body) -> Svg:
    """Draw the cap that carries the left eye and, where there is one, the hose's outlet."""
    above = Box(body.cap, -body.outer - 3, body.face, 0)
    below = Box(body.cap, 0, body.face, body.outer + 3)
    return group(box(above), hatch(above, step=6), box(below))


def _sleeve(body: Body) -> Svg:
    """Draw the hollow sleeve that a through-rod moves into, with the left eye at its end."""
    reach = body.rod + 7
    above = Box(body.cap, -reach, body.block, -reach + 2.6)
    inside = Box(body.cap, -reach, body.block, 0)
    below = Box(body.cap, 0, body.block, reach)
    end = Box(body.cap, -reach, body.cap + 7, 0)
    shown = [
        box(inside, 1.2),
        box(above, THIN, fill="currentColor"),
        box(below),
        box(end),
        hatch(end, step=4),
    ]
    return group(*shown)


def _second_seal_head(body: Body) -> Svg:
    """Draw the seal head at the sleeve's end; the rod goes through it too."""
    above = Box(body.block, -body.outer - 3, body.face, -body.rod)
    below = Box(body.block, body.rod, body.face, body.outer + 3)
    seal = Box(body.block + 5, -body.rod - 4.5, body.block + 10, -body.rod)
    wiper = Box(body.block - 4, -body.rod - 4.5, body.block + 1, -body.rod)
    solid = [box(part, 0, fill="currentColor") for part in (seal, wiper)]
    return group(box(above), hatch(above, step=4), box(below), *solid)


def _bump_stop(body: Body) -> Svg:
    """Draw the bump stop on the rod, cut above the axis, cross-hatched as rubber is."""
    area = Box(body.retainer - 24, -body.rod - 7, body.retainer, -body.rod)
    left, right, low = area.left, area.right, area.bottom
    outline = polygon([(left, low - 3), (right, area.top), (right, low), (left, low)], 1.2, fill=SHEET)
    fine = Box(left + 3, low - 4, right, low)
    return group(outline, hatch(fine, step=3), hatch(fine, step=3, falling=True))


def _retainer(body: Body) -> Svg:
    """Draw the spring's retainer: one plate, cut above the axis."""
    reach = body.reach + 2
    above = Box(body.retainer, -reach, body.retainer + 7, -body.rod)
    below = Box(body.retainer, body.rod, body.retainer + 7, reach)
    return group(box(above), hatch(above, step=4), box(below))


def _adjuster(body: Body, dashed: frozenset[str]) -> Svg:
    """Draw the preload ring, and its lock ring on the cap's side; dashed when it is not measured."""
    dash = "4 3" if "preload" in dashed else None
    parts = []
    for sign in (-1, 1):
        near, far = sign * body.outer, sign * (body.reach + 1)
        lock = sign * (body.reach - 4)
        ring = Box(body.ring, min(near, far), body.ring + RING, max(near, far))
        locking = Box(body.ring - 6, min(near, lock), body.ring, max(near, lock))
        parts += [box(ring, dash=dash), box(locking, 1.2, dash=dash)]
        if sign < 0 and dash is None:
            parts.append(hatch(ring, step=3))
    return group(*parts)


def _coil(body: Body, coil: Coil) -> Svg:
    """Draw one spring: its wire cut above the axis, its turns seen from outside below; a divider after it."""
    pitch = (coil.end - coil.start) / coil.turns
    parts = []
    for turn in range(coil.turns):
        x = coil.start + pitch * (turn + 0.5) if coil.turns > 1 else (coil.start + coil.end) / 2
        parts.append(_turn_below(x + pitch * 0.12, x + pitch * 0.42, body, coil.wire))
        parts.append(circle((x, -body.spring_half), coil.wire, 1.2))
        parts.append(
            line(
                (x - coil.wire * 0.7, -body.spring_half + coil.wire * 0.7),
                (x + coil.wire * 0.7, -body.spring_half - coil.wire * 0.7),
                THIN,
            )
        )
    if coil is not body.coils[-1]:
        parts.append(_divider(body, coil.end))
    return group(*parts)


def _turn_below(top: float, bottom: float, body: Body, wire: float) -> Svg:
    """Draw one turn in front of the body, from the axis down to the spring's edge, round at its lower end."""
    low = body.spring_half
    d = (
        f"M{num(top - wire)} {num(0)}L{num(bottom - wire)} {num(low)}"
        f"A{num(wire)} {num(wire)} 0 0 0 {num(bottom + wire)} {num(low)}L{num(top + wire)} {num(0)}"
    )
    return path(d, 1.2, fill=SHEET)


def _divider(body: Body, x: float) -> Svg:
    """Draw the divider between two springs."""
    far, near = body.reach + 1, body.outer + 1
    return group(box(Box(x, -far, x + DIVIDER, -near), 1.2), box(Box(x, near, x + DIVIDER, far), 1.2))


def _eye(x: float, radius: float, joint: float) -> Svg:
    """Draw an eye with its bearing and centre cross, and the lug that joins it to cap or rod."""
    towards = 1 if joint > x else -1
    lug = polygon(
        [
            (x, -radius),
            (joint + towards * 4, -radius * 0.55),
            (joint + towards * 4, radius * 0.55),
            (x, radius),
        ],
        THICK,
        fill=SHEET,
    )
    rings = [
        circle((x, 0), radius * share, width) for share, width in ((1, THICK), (0.66, THICK), (0.34, 1.2))
    ]
    cross = group(line((x, -radius - 6), (x, radius + 6), THIN, "14 3 3 3"), ink="rule")
    return group(lug, *rings, cross)

"""Place the parts: millimetres become the drawing's pixels, x to the right, y down from the body's axis.

A length that cannot be where it is said to be (a stroke longer than the eyes leave room for) is drawn as far
as it goes and named in `off_scale`, so that the drawing never pretends.
"""

from dataclasses import dataclass

from shopapp.drawings.damper.numbers import WITH_TANK, Build, Sizes, Spring

MARGIN = 12.0
RING = 8.0
DIVIDER = 6.0
BLOCK = 18.0
IFP_LENGTH = 20.0
PISTON_ROOM = 72.0
LEAST_LENGTH = 0.6


@dataclass(frozen=True, slots=True)
class Coil:
    """One spring as drawn: its two ends, its wire's radius, and how many turns."""

    start: float
    end: float
    wire: float
    turns: int


@dataclass(frozen=True, slots=True)
class Body:
    """The body, the rod and what sits on them; lengths in pixels.

    `half` is the bore's, `shell` what lies between it and the outside (a twin-tube's oil and its inner wall).
    `block` is where the end block begins: the cap itself, or what a through-rod's sleeve is screwed to.
    `ifp` is the gas face of an IFP in the body.
    """

    build: Build
    left_eye: float
    right_eye: float
    eye: float
    cap: float
    block: float
    face: float
    seal: float
    retainer: float
    half: float
    wall: float
    shell: float
    rod: float
    ring: float
    coils: tuple[Coil, ...]
    spring_half: float
    ifp: float | None = None

    @property
    def outer(self) -> float:
        return self.half + self.shell + self.wall

    @property
    def level(self) -> float:
        """Where an oil level is drawn that nobody measures: no number moves it."""
        return self.face + (self.seal - PISTON_ROOM - self.face) * 0.45

    @property
    def reach(self) -> float:
        """Half the height of the widest thing on the body: the spring with its wire."""
        return self.spring_half + 5


@dataclass(frozen=True, slots=True)
class Reservoir:
    """The reservoir or compensator below the body; `gas_face` is the IFP's face towards the gas."""

    left: float
    right: float
    axis: float
    half: float
    wall: float
    gas_face: float

    @property
    def outer(self) -> float:
        return self.half + self.wall


@dataclass(frozen=True, slots=True)
class Layout:
    """All places of one drawing, and what could not be drawn to scale."""

    scale: float
    body: Body
    reservoir: Reservoir | None
    off_scale: frozenset[str]


def layout(sizes: Sizes, width: float, *, drop: float, most_half: float | None = None) -> Layout:
    """Place everything on a drawing `width` pixels wide; `drop` is the free height under the spring.

    Where half the bore would be more than `most_half` pixels, the whole damper is drawn smaller, eyes included.
    """
    off: set[str] = set()
    eye = max(11.0, min(18.0, width * 0.025))
    length = width - 2 * (MARGIN + eye)
    if most_half is not None:
        widest = max(sizes.bore, sizes.reservoir_bore if sizes.build in WITH_TANK else 0.0)
        length = max(length * LEAST_LENGTH, min(length, 2 * most_half / widest * sizes.eye_centres))
    left_eye, right_eye = (width - length) / 2, (width + length) / 2
    scale = length / sizes.eye_centres
    body = _body(sizes, scale, left_eye, right_eye, eye, off)
    tank = _reservoir(sizes, scale, body, width, drop, off) if sizes.build in WITH_TANK else None
    return Layout(scale, body, tank, frozenset(off))


def _body(sizes: Sizes, scale: float, left_eye: float, right_eye: float, eye: float, off: set[str]) -> Body:
    length = right_eye - left_eye
    half = _within(sizes.bore * scale / 2, 8, length * 0.12, "body_bore", off)
    rod = _within(sizes.rod * scale / 2, 2, half * 0.7, "rod_diameter", off)
    face = left_eye + eye + max(BLOCK, length * 0.055)
    retainer = right_eye - eye - 10
    seal = retainer - 8 - _within(sizes.stroke * scale, 0, (retainer - 8 - face) * 0.62, "stroke", off)
    block = left_eye + eye
    if sizes.build is Build.THROUGH_ROD:
        face += (seal - face) * 0.3
        block = face - BLOCK
    wall = max(2.5, half * 0.12)
    shell = max(9.0, half * 0.42) + wall if sizes.build is Build.TWIN_TUBE else 0.0
    ring = face + _within(sizes.preload * scale, 6, (seal - face) * 0.8, "preload", off)
    return Body(
        build=sizes.build,
        left_eye=left_eye,
        right_eye=right_eye,
        eye=eye,
        cap=left_eye + eye,
        block=block,
        face=face,
        seal=seal,
        retainer=retainer,
        half=half,
        wall=wall,
        shell=shell,
        rod=rod,
        ring=ring,
        coils=_coils(sizes.springs or (Spring(),), scale, ring + RING, retainer),
        spring_half=half + shell + wall + 7.5,
        ifp=_ifp_in_body(sizes, scale, face, seal, off),
    )


def _ifp_in_body(sizes: Sizes, scale: float, face: float, seal: float, off: set[str]) -> float | None:
    """Place the IFP of a body between its cap and the piston at the end of the rod."""
    if sizes.build is not Build.IFP_BODY:
        return None
    most = max(seal - PISTON_ROOM - IFP_LENGTH - face, 14.0)
    return face + _within(sizes.ifp_depth * scale, 14, most, "ifp_depth", off)


def _within(value: float, least: float, most: float, name: str, off: set[str]) -> float:
    """Keep a length where it can be drawn; noted when that takes more than a pixel."""
    kept = min(max(value, least), most)
    if abs(kept - value) > 1:
        off.add(name)
    return kept


def _coils(springs: tuple[Spring, ...], scale: float, start: float, end: float) -> tuple[Coil, ...]:
    """Share the room between ring and retainer among the springs; none is drawn longer than its free length.

    Springs in a row carry one force, so the room is shared as their free lengths are; a set that is shorter
    than the room stands loose against the ring.
    """
    room = end - start - DIVIDER * (len(springs) - 1)
    usual = [1.0] if len(springs) == 1 else [0.3] + [0.7 / (len(springs) - 1)] * (len(springs) - 1)
    lengths = [
        s.free_mm * scale if s.free_mm else share * room for s, share in zip(springs, usual, strict=True)
    ]
    squeeze = min(1.0, room / sum(lengths))
    coils, x = [], start
    for index, length in enumerate(lengths):
        wire = 3.2 if len(springs) > 1 and index == 0 else 4.4
        fitted = length * squeeze
        turns = max(2, round(fitted / (wire * (4 if wire < 4 else 8))))
        coils.append(Coil(x, x + fitted, wire, turns))
        x += fitted + DIVIDER
    return tuple(coils)


def _reservoir(sizes: Sizes, scale: float, body: Body, width: float, drop: float, off: set[str]) -> Reservoir:
    half = _within(sizes.reservoir_bore * scale / 2, 8, width * 0.11, "reservoir_bore", off)
    wall = max(2.5, half * 0.12)
    length = _within(sizes.reservoir_length * scale, 70, width * 0.62, "reservoir_length", off)
    left = min(body.face + 56, width - MARGIN - length)
    gas_face = left + length - _within(sizes.ifp_depth * scale, 22, length - 36, "ifp_depth", off)
    return Reservoir(left, left + length, body.reach + drop + half + wall, half, wall, gas_face)

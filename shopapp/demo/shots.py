"""The demo's pictures: drawn here as if taken at the bench, kept and recorded through the services like any other."""

from __future__ import annotations

import io
import random
import uuid
from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext as _
from PIL import Image, ImageDraw, ImageFilter

from shopapp.bench.services.pictures import develop, keep_picture, picture_key
from shopapp.orders.models import Job
from shopapp.shop.services.acts import Call

if TYPE_CHECKING:
    from shopapp.people.models import Person

SIZE = (1200, 900)
Colour = tuple[int, int, int]
BENCH, STEEL, BODY, RUBBER, OIL, PAPER, INK = (
    (96, 88, 78), (196, 200, 202), (122, 132, 138), (46, 46, 48), (58, 44, 24), (232, 228, 212), (30, 30, 30),
)  # fmt: skip


def shooting(job: Job, by: Person, at: Callable[[], datetime]) -> Callable[..., list[dict[str, Any]]]:
    """Give what takes pictures of a job's damper: names of what is drawn with their words, ids and words back."""
    rng = random.Random(job.pk)

    def shoot(*wanted: tuple[str, str]) -> list[dict[str, Any]]:
        shown = []
        for name, words in wanted:
            pk = uuid.UUID(int=rng.getrandbits(128), version=4)
            file = io.BytesIO(picture(name, rng.randrange(1000)))
            call = Call.once(picture_key(pk))
            keep_picture(job=job, pk=pk, developed=develop(file), by=by, at=at(), call=call)
            shown.append({"id": str(pk), "caption": words})
        return shown

    return shoot


def arrival() -> list[tuple[str, str]]:
    """Give what is photographed when a damper comes."""
    return [("arrival", _("As it came, oil at the wiper")), ("tag", _("The tag on the body"))]


def picture(name: str, seed: int) -> bytes:
    """Draw a picture; the grain of a camera in poor light lies over it."""
    rng = random.Random(seed)
    image = Image.new("RGB", SIZE, BENCH)
    drawers: dict[str, Callable[[ImageDraw.ImageDraw, random.Random], None]] = {
        "arrival": _arrival, "tag": _tag, "pits": _pits, "bushing": _bushing,
    }  # fmt: skip
    _boards(ImageDraw.Draw(image), rng)
    drawers[name](ImageDraw.Draw(image), rng)
    grain = Image.frombytes("L", (300, 225), rng.randbytes(300 * 225)).resize(SIZE).convert("RGB")
    image = Image.blend(image.filter(ImageFilter.GaussianBlur(2)), grain, 0.06)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=85)
    return out.getvalue()


def _boards(draw: ImageDraw.ImageDraw, rng: random.Random) -> None:
    for y in range(0, SIZE[1], 150):
        shade = rng.randrange(-10, 10)
        draw.rectangle((0, y, SIZE[0], y + 146), fill=(BENCH[0] + shade, BENCH[1] + shade, BENCH[2] + shade))


def _cylinder(draw: ImageDraw.ImageDraw, box: tuple[int, int, int, int], colour: Colour) -> None:
    """Draw a lying cylinder: light from above."""
    left, top, right, bottom = box
    for y in range(top, bottom):
        light = 1.25 - 0.95 * abs((y - top) / (bottom - top) - 0.32)
        draw.line((left, y, right, y), fill=tuple(min(255, int(part * light)) for part in colour))  # type: ignore[arg-type]


def _eye(draw: ImageDraw.ImageDraw, x: int, y: int) -> None:
    draw.ellipse((x - 70, y - 70, x + 70, y + 70), fill=BODY, outline=INK, width=3)
    draw.ellipse((x - 44, y - 44, x + 44, y + 44), fill=RUBBER)
    draw.ellipse((x - 22, y - 22, x + 22, y + 22), fill=STEEL, outline=INK, width=2)


def _arrival(draw: ImageDraw.ImageDraw, rng: random.Random) -> None:
    _eye(draw, 110, 450)
    _cylinder(draw, (160, 370, 690, 530), BODY)
    _cylinder(draw, (690, 380, 730, 520), RUBBER)
    _cylinder(draw, (730, 425, 1050, 475), STEEL)
    _eye(draw, 1090, 450)
    for _drop in range(60):
        x, y = rng.randrange(700, 900), rng.randrange(470, 560)
        size = rng.randrange(4, 22)
        draw.ellipse((x, y, x + size, y + size // 2), fill=OIL)
    for _speck in range(200):
        x, y = rng.randrange(160, 690), rng.randrange(375, 525)
        draw.point((x, y), fill=(90, 80, 60))


def _tag(draw: ImageDraw.ImageDraw, rng: random.Random) -> None:
    _cylinder(draw, (0, 250, 1200, 700), BODY)
    draw.polygon([(330, 300), (870, 270), (890, 610), (350, 640)], fill=PAPER, outline=INK)
    draw.ellipse((380, 330, 420, 370), fill=BODY, outline=INK, width=3)
    for row in range(14):
        for column in range(14):
            if rng.random() < 0.5:
                x, y = 480 + column * 18, 320 + row * 18 - column
                draw.rectangle((x, y, x + 17, y + 17), fill=INK)


def _pits(draw: ImageDraw.ImageDraw, rng: random.Random) -> None:
    _cylinder(draw, (0, 290, 1200, 610), STEEL)
    for _scratch in range(16):
        x, y = rng.randrange(300, 700), rng.randrange(330, 560)
        draw.line((x, y, x + rng.randrange(60, 260), y + rng.randrange(-3, 3)), fill=(120, 124, 126), width=2)
    for _pit in range(26):
        x, y = rng.randrange(480, 720), rng.randrange(370, 520)
        size = rng.randrange(5, 17)
        draw.ellipse((x, y, x + size, y + size), fill=(70, 66, 60), outline=(225, 226, 226))


def _bushing(draw: ImageDraw.ImageDraw, rng: random.Random) -> None:
    draw.ellipse((300, 150, 900, 750), fill=(166, 124, 60), outline=INK, width=4)
    draw.ellipse((380, 230, 820, 670), fill=RUBBER)
    for _band in range(40):
        angle = rng.randrange(20, 150)
        draw.arc(
            (330, 180, 870, 720),
            angle,
            angle + rng.randrange(6, 30),
            fill=(206, 178, 120),
            width=rng.randrange(2, 9),
        )

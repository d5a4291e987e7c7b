"""A picture made ours: upright, small, without what the camera wrote; everything else is refused in a sentence."""

from __future__ import annotations

import io
import random
import struct

import pytest
from PIL import Image, ImageFile

from shopapp.papers import pictures
from shopapp.shop.services.acts import Refused
from tests.conftest import times
from tests.drawn_pictures import NO_PICTURES, a_jpeg, drawn, file_of, small_file_large_picture, turned


def made(content: bytes) -> Image.Image:
    """Make a file ours and read it back as anybody would."""
    kept = pictures.ready(io.BytesIO(content))
    image = Image.open(io.BytesIO(kept.content))
    assert (image.format, image.mode, image.size) == ("JPEG", "RGB", (kept.width, kept.height))
    image.load()
    return image


def is_dark(image: Image.Image, across: float, down: float) -> bool:
    red = image.getpixel((int(image.width * across), int(image.height * down)))[0]
    return red < 128


@pytest.mark.parametrize(
    ("kind", "mode"),
    [
        ("JPEG", "RGB"), ("JPEG", "L"), ("JPEG", "CMYK"), ("PNG", "RGB"), ("PNG", "RGBA"), ("PNG", "P"),
        ("PNG", "1"), ("PNG", "LA"), ("PNG", "I;16"), ("WEBP", "RGB"), ("WEBP", "RGBA"),
    ],
)  # fmt: skip
def test_every_kind_comes_out_as_a_plain_jpeg(kind: str, mode: str) -> None:
    image = drawn(mode="L").convert("I;16") if mode == "I;16" else drawn(mode=mode)
    seen = made(file_of(image, kind))
    assert seen.size == (64, 48)
    if mode != "I;16":
        assert is_dark(seen, 0.1, 0.1)
        assert mode == "1" or not is_dark(seen, 0.9, 0.9)


def test_what_is_see_through_becomes_white() -> None:
    image = Image.new("RGBA", (20, 20), (0, 0, 0, 0))
    assert made(file_of(image, "PNG")).getpixel((10, 10))[0] > 240


DARK_CORNER = {
    1: (0.1, 0.1), 2: (0.9, 0.1), 3: (0.9, 0.9), 4: (0.1, 0.9),
    5: (0.1, 0.1), 6: (0.9, 0.1), 7: (0.9, 0.9), 8: (0.1, 0.9),
}  # fmt: skip


@pytest.mark.parametrize("orientation", sorted(DARK_CORNER))
def test_it_is_turned_upright(orientation: int) -> None:
    """Seen red without `exif_transpose`: six of the eight."""
    image = made(turned(orientation))
    assert image.size == ((60, 40) if orientation < 5 else (40, 60))
    corners = {(x, y): is_dark(image, x, y) for x in (0.1, 0.9) for y in (0.1, 0.9)}
    assert [place for place, dark in corners.items() if dark] == [DARK_CORNER[orientation]]


def test_nothing_of_what_the_camera_wrote_is_kept() -> None:
    """Seen red with the picture itself saved instead of a fresh one: the comment stays."""
    kept = pictures.ready(io.BytesIO(turned(6))).content
    image = Image.open(io.BytesIO(kept))
    assert dict(image.getexif()) == {}
    assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert b"secret" not in kept and b"Invented" not in kept and b"Exif" not in kept


def test_a_large_one_is_made_smaller_and_a_small_one_not_larger() -> None:
    assert made(a_jpeg(3200, 2000)).size == (1600, 1000)
    assert made(a_jpeg(30, 20)).size == (30, 20)


def test_a_telephones_two_in_one_is_taken_as_the_first() -> None:
    first, second = drawn(80, 60), drawn(40, 30)
    content = file_of(first, "MPO", save_all=True, append_images=[second])
    assert made(content).size == (80, 60)


@pytest.mark.parametrize("what", sorted(NO_PICTURES))
def test_what_is_no_picture_is_refused_in_a_sentence(what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The PDF engine lets half pictures pass in its whole process. Seen red without `_strictly`."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    with pytest.raises(Refused) as no:
        pictures.ready(io.BytesIO(NO_PICTURES[what]))
    assert no.value.sentence.endswith(".") and no.value.field == "file"
    if what.startswith("a moving") and "GIF" not in what:
        assert "moves" in no.value.sentence


@pytest.mark.parametrize("size", [(20_000, 20_000), (6000, 4001), (9_700, 9_700)])
def test_a_small_file_with_a_large_picture_is_never_unpacked(
    size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Seen red without the cap: the file of 50 kB is unpacked."""
    content = small_file_large_picture(*size)
    assert len(content) < 60_000

    def never(self: ImageFile.ImageFile) -> None:
        raise AssertionError("it was unpacked")

    monkeypatch.setattr(ImageFile.ImageFile, "load", never)
    with pytest.raises(Refused, match="24 megapixels"):
        pictures.ready(io.BytesIO(content))


def test_just_24_megapixels_are_taken() -> None:
    assert made(small_file_large_picture(6000, 4000)).size == (1600, 1067)


def test_whatever_the_bytes_it_is_a_picture_or_a_sentence(rng: random.Random) -> None:
    """Good files with bytes changed, cut or doubled at random (the seed is in the header)."""
    good = [a_jpeg(), turned(6), *(file_of(drawn(), kind) for kind in ("PNG", "WEBP"))]
    refused = 0
    for _turn in range(times(120, 3000)):
        content = bytearray(rng.choice(good))
        for _change in range(rng.randrange(1, 6)):
            content[rng.randrange(len(content))] = rng.randrange(256)
        if rng.random() < 0.3:
            del content[rng.randrange(len(content)) :]
        try:
            made(bytes(content))
        except Refused as no:
            refused += 1
            assert no.sentence.endswith(".")
    assert refused > 10


def test_a_head_that_lies_about_its_size_is_refused() -> None:
    content = bytearray(file_of(drawn(), "PNG"))
    content[16:24] = struct.pack(">II", 2**31 - 1, 2**31 - 1)
    with pytest.raises(Refused):
        pictures.ready(io.BytesIO(bytes(content)))

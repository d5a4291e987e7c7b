"""Pictures for tests, drawn as they are needed: good ones, and files that are no picture or try to be more."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

from PIL import Image, ImageDraw

ORIENTATION, MAKER, PLACE = 0x0112, 0x010F, 0x8825


def drawn(width: int = 64, height: int = 48, mode: str = "RGB") -> Image.Image:
    """Draw a picture whose upper left corner is dark and the rest light."""
    image = Image.new("RGB", (width, height), (220, 220, 210))
    ImageDraw.Draw(image).rectangle((0, 0, width // 3, height // 3), fill=(20, 30, 30))
    return image.convert(mode)


def file_of(image: Image.Image, kind: str = "JPEG", **more: Any) -> bytes:
    """Write a picture as a file of a kind."""
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def a_jpeg(width: int = 64, height: int = 48, *, shade: int = 0) -> bytes:
    """Give a good small picture; another `shade` is another picture."""
    image = drawn(width, height)
    image.putpixel((width - 1, height - 1), (shade, 0, 0))
    ImageDraw.Draw(image).rectangle((width // 2, height // 2, width - 1, height - 1), fill=(shade, 90, 90))
    return file_of(image)


def turned(orientation: int, width: int = 60, height: int = 40) -> bytes:
    """Give a picture as a telephone held sideways writes it: with a place, a maker and its orientation in EXIF."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[MAKER] = "Invented Cameras"
    exif[PLACE] = {1: "N", 2: (54.0, 30.0, 0.0)}
    return file_of(drawn(width, height), exif=exif.tobytes(), comment=b"a secret comment")


def small_file_large_picture(width: int = 20_000, height: int = 20_000) -> bytes:
    """Give a PNG of some kB that unpacks to hundreds of megabytes."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    row = b"\0" * (width // 8 + 1)
    packer = zlib.compressobj(9)
    body = b"".join(packer.compress(row) for _row in range(height)) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def moving(kind: str) -> bytes:
    """Give a picture that moves."""
    frames = [drawn(), drawn(64, 48).rotate(90)]
    return file_of(frames[0], kind, save_all=True, append_images=frames[1:], duration=100)


NO_PICTURES: dict[str, bytes] = {
    "nothing": b"",
    "words": b"this is no picture",
    "a page": b"<html><script>alert(1)</script></html>",
    "a drawing with a script": b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
    "the head of a PDF": b"%PDF-1.7\n%\xe2\xe3",
    "a JPEG that stops": a_jpeg(1200, 900)[:4000],
    "a JPEG without its body": a_jpeg()[:20],
    "a PNG that stops": file_of(drawn(400, 300), "PNG")[:200],
    "a PNG with a false sum": file_of(drawn(), "PNG")[:40] + b"\xff" * 60,
    "a GIF": file_of(drawn(), "GIF"),
    "a TIFF": file_of(drawn(), "TIFF"),
    "a BMP": file_of(drawn(), "BMP"),
    "a moving GIF": moving("GIF"),
    "a moving PNG": moving("PNG"),
    "a moving WebP": moving("WEBP"),
    "a head of a telephone's own kind": b"\0\0\0\x18ftypheic\0\0\0\0mif1heic",
    "zeroes": b"\0" * 5000,
}
"""Files that are refused with a sentence, by what they are."""

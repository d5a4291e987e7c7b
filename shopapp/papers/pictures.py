"""Make a picture that was handed in ours: looked at before it is unpacked, upright, small, without its metadata."""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import IO

from django.utils.translation import gettext as _
from PIL import (
    Image,
    ImageFile,
    ImageOps,
    JpegImagePlugin,
    PngImagePlugin,
    UnidentifiedImageError,
    WebPImagePlugin,
)

from shopapp.shop.services.acts import Refused

MOST_PIXELS = 24_000_000
LONGEST_EDGE = 1600
QUALITY = 82
READERS = (JpegImagePlugin.JpegImageFile, PngImagePlugin.PngImageFile, WebPImagePlugin.WebPImageFile)
FORMATS = tuple(reader.format for reader in READERS)
STILLS = ("JPEG", "MPO")
"""What one takes to be stills: a telephone's MPO is a JPEG with a second one for depth behind it."""
SUFFIX = ".jpg"
MEDIA_TYPE = "image/jpeg"


@dataclass(frozen=True, slots=True)
class Ready:
    """A picture as we keep it: the bytes of a JPEG, its width and height in pixels."""

    content: bytes
    width: int
    height: int


def ready(file: IO[bytes]) -> Ready:
    """Read a picture and write it anew: at most 24 megapixels in, at most 1600 pixels an edge out, as a JPEG.

    Nothing of the file that came is kept: neither place nor time nor camera, colour profile or comment. The size in
    the head is looked at before anything is unpacked (a file of 10 kB can take 400 MB). `Refused` with a sentence.
    """
    try:
        with _strictly():
            return _read(file)
    except Refused:
        raise
    except UnidentifiedImageError as problem:
        raise Refused(
            _(
                "Pictures are taken as JPEG, PNG or WebP. This file is none of them, or it is broken: take it again."
            ),
            field="file",
        ) from problem
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as problem:
        raise _too_large() from problem
    except Exception as problem:
        # The decoders fail on hostile bytes in every way there is; what they leave is no picture.
        raise Refused(
            _("This picture is broken, or did not arrive whole: take it again."), field="file"
        ) from problem


@contextmanager
def _strictly() -> Iterator[None]:
    """Take no picture that stops half-way (the PDF engine allows them for the whole process), nor a bomb."""
    before = ImageFile.LOAD_TRUNCATED_IMAGES
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


def _too_large() -> Refused:
    return Refused(
        _("This picture is too large: at most 24 megapixels. Take it with the camera's smaller setting."),
        field="file",
    )


def _read(file: IO[bytes]) -> Ready:
    with Image.open(file, formats=FORMATS) as image:
        width, height = image.size
        if width * height > MOST_PIXELS:
            raise _too_large()
        if image.format not in STILLS and getattr(image, "n_frames", 1) > 1:
            raise Refused(_("This picture moves. Take a still one: the paper shows only that."), field="file")
        image.draft("RGB", (LONGEST_EDGE, LONGEST_EDGE))
        image.load()
        return _encoded(image)


def _encoded(image: Image.Image) -> Ready:
    upright = ImageOps.exif_transpose(image)
    upright.thumbnail((LONGEST_EDGE, LONGEST_EDGE))
    # Pasted into a fresh one: what is not a pixel stays behind. What is see-through becomes white, as on paper.
    clean = Image.new("RGB", upright.size, "white")
    if "A" in upright.getbands() or "transparency" in upright.info:
        seen = upright.convert("RGBA")
        clean.paste(seen, mask=seen.getchannel("A"))
    else:
        clean.paste(upright.convert("RGB"))
    out = io.BytesIO()
    clean.save(out, "JPEG", quality=QUALITY, optimize=True)
    return Ready(out.getvalue(), clean.width, clean.height)

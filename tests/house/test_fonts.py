"""Hold the shipped fonts to what the sheet writes: every sign through the stack, no digits in the caption face."""

import re
import unicodedata
from functools import cache
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

STATIC = Path(__file__).resolve().parents[2] / "static"
FONTS = STATIC / "fonts"
SIGNS = "⌀⅛⅜⅝⅞½¼¾⁄≤≥≈≠→←↑↓Δ√×÷°−–—±²³µ·•…‘’“”′″€£éüßøå"
STACKS = {
    "text": ("b612", "sheet-caption"),
    "bold text": ("b612-bold", "sheet-caption"),
    "mono": ("b612-mono", "sheet-caption"),
    "bold mono": ("b612-mono-bold", "sheet-caption"),
    "caption": ("sheet-caption", "b612"),
    "narrow caption": ("sheet-caption-narrow", "b612"),
}
CAPTION_FACES = {"sheet-caption": "Sheet Caption", "sheet-caption-narrow": "Sheet Caption Narrow"}


@cache
def font(name: str) -> TTFont:
    return TTFont(FONTS / f"{name}.woff2")


def signs_of(name: str) -> set[str]:
    return {chr(code) for code in font(name).getBestCmap()}


@pytest.mark.parametrize("stack", STACKS)
def test_every_sign_is_in_the_stack(stack: str) -> None:
    there = set().union(*(signs_of(name) for name in STACKS[stack]))
    ascii_signs = {chr(code) for code in range(0x20, 0x7F)}
    assert (set(SIGNS) | ascii_signs) - there == set()


@pytest.mark.parametrize("face", CAPTION_FACES)
def test_the_caption_face_writes_no_figure(face: str) -> None:
    """Not a digit, a superscript or a fraction: each has the 1 that reads as I."""
    assert {sign for sign in signs_of(face) if unicodedata.numeric(sign, None) is not None} == set()


@pytest.mark.parametrize(("face", "family"), CAPTION_FACES.items())
def test_the_caption_face_has_a_name_of_our_own(face: str, family: str) -> None:
    """Under the maker's name an installed copy lends the digits again."""
    named = {str(record) for record in font(face)["name"].names if record.nameID in (1, 4, 6, 16)}
    assert named == {family, family.replace(" ", "")}


@pytest.mark.parametrize("face", ["b612", "b612-bold", "b612-mono", "b612-mono-bold"])
def test_figures_stand_in_columns(face: str) -> None:
    """All ten digits and the minus beside them are of one width, so decimal points align."""
    names = font(face).getBestCmap()
    assert len({font(face)["hmtx"][names[ord(digit)]][0] for digit in "0123456789"}) == 1


def test_every_font_file_is_named_by_the_style_and_licensed() -> None:
    style = (STATIC / "css" / "fonts.css").read_text("utf-8")
    named = set(re.findall(r"fonts/([\w-]+)\.woff2", style))
    assert named == {path.stem for path in FONTS.glob("*.woff2")}
    for licence in ("LICENCE-b612.txt", "LICENCE-routed-gothic.txt"):
        assert "OPEN FONT LICENSE" in (FONTS / licence).read_text("utf-8").upper()

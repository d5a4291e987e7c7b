"""Hold the tokens to the rule: two inks and a vial, readable, and apart for colour-blind eyes."""

import itertools
import re
from pathlib import Path

import pytest

TOKENS = Path(__file__).resolve().parents[2] / "static" / "css" / "tokens.css"
GROUNDS = ("paper", "plate")
TEXT_INKS = ("ink", "ink-2", "blue", "vermillion")
THEMES = ("light", "dark")

Colour = tuple[float, float, float]

# Machado, Oliveira, Fernandes: A physiologically-based model for simulation of colour vision deficiency,
# IEEE TVCG 15(6), 2009, severity 1.0, on linear RGB.
EYES: dict[str, tuple[Colour, Colour, Colour]] = {
    "usual": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def tokens(theme: str) -> dict[str, str]:
    """Read the colours of a theme from the token file; the dark theme stands on the light one."""
    text = TOKENS.read_text("utf-8")
    light = re.search(r":root \{(.*?)\n  \}", text, re.S)
    dark = re.search(r":root\[data-theme=dark\] \{(.*?)\n  \}", text, re.S)
    assert light and dark, "tokens.css has lost one of its two themes"
    found = dict(re.findall(r"--([\w-]+): (#[0-9A-F]{6});", light[1]))
    if theme == "dark":
        changed = dict(re.findall(r"--([\w-]+): (#[0-9A-F]{6});", dark[1]))
        assert set(changed) == set(found), "the dark theme must name every colour of the light one"
        found |= changed
    return found


def linear(colour: str) -> Colour:
    """Give linear RGB of a #RRGGBB, each 0 to 1."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return red, green, blue


def contrast(one: str, other: str) -> float:
    """Give the WCAG 2.2 contrast ratio of two colours."""
    lights = sorted(0.2126 * r + 0.7152 * g + 0.0722 * b for r, g, b in (linear(one), linear(other)))
    return (lights[1] + 0.05) / (lights[0] + 0.05)


def seen(colour: str, eyes: str) -> Colour:
    """Give the linear RGB that these eyes see."""
    rgb = linear(colour)
    rows = EYES[eyes]
    red, green, blue = (min(1.0, max(0.0, sum(f * c for f, c in zip(row, rgb, strict=True)))) for row in rows)
    return red, green, blue


def lab(rgb: Colour) -> Colour:
    """Turn linear RGB into CIELAB under D65."""
    red, green, blue = rgb
    x = (0.4124 * red + 0.3576 * green + 0.1805 * blue) / 0.95047
    y = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    z = (0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.08883
    fx, fy, fz = (t ** (1 / 3) if t > 0.008856 else 7.787 * t + 16 / 116 for t in (x, y, z))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def apart(one: str, other: str, eyes: str) -> float:
    """Give the CIE 1976 difference of two colours as these eyes see them."""
    return sum((a - b) ** 2 for a, b in zip(lab(seen(one, eyes)), lab(seen(other, eyes)), strict=True)) ** 0.5


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("ink", TEXT_INKS)
def test_every_text_ink_is_seven_to_one_on_each_ground(theme: str, ground: str, ink: str) -> None:
    colours = tokens(theme)
    assert contrast(colours[ink], colours[ground]) >= 7


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("ground", GROUNDS)
def test_rules_are_three_to_one_on_each_ground(theme: str, ground: str) -> None:
    colours = tokens(theme)
    assert contrast(colours["rule"], colours[ground]) >= 3


@pytest.mark.parametrize("theme", THEMES)
def test_words_on_the_vial_are_seven_to_one(theme: str) -> None:
    colours = tokens(theme)
    assert contrast(colours["on-vial"], colours["vial"]) >= 7


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("eyes", EYES)
@pytest.mark.parametrize(("one", "other"), list(itertools.combinations(("blue", "vermillion", "ink"), 2)))
def test_blue_vermillion_and_ink_stay_apart(theme: str, eyes: str, one: str, other: str) -> None:
    """Thirty in CIELAB is a dozen times what is just noticeable: plainly another colour, side by side."""
    colours = tokens(theme)
    assert apart(colours[one], colours[other], eyes) >= 30


def test_the_measures_themselves() -> None:
    """Black on white is 21; red and green, far apart for most eyes, close in for a deutan."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert apart("#C03000", "#607000", "usual") > 60
    assert apart("#C03000", "#607000", "deutan") < 25

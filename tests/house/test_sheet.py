"""Hold style and base pages to the look: nothing inline, nothing foreign, only what a drawing sheet has."""

import re
import zlib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
STYLES = sorted((ROOT / "static" / "css").glob("*.css"))
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
ON_PAPER = ("paper.css", "label.css", "tags.css")
ON_PAGES = [path for path in STYLES if path.name not in ON_PAPER]


def without_comments(path: Path) -> str:
    return re.sub(r"/\*.*?\*/", "", path.read_text("utf-8"), flags=re.S)


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.name)
def test_no_gradients_round_corners_or_soft_shadows(path: Path) -> None:
    """A circle (radius 50 %) is a drawn mark; a shadow without blur is a line."""
    style = without_comments(path)
    assert "gradient(" not in style
    assert set(re.findall(r"border-radius: ([^;}]+)", style)) <= {"0", "50%"}
    for shadow in re.findall(r"box-shadow: ([^;}]+)", style):
        for part in shadow.split(","):
            lengths = re.findall(r"(?<![\w-])-?\d+(?:px)?(?![\w-])", part)
            assert shadow == "none" or lengths[2:3] == ["0"], f"{part} is a blurred shadow"


@pytest.mark.parametrize("path", ON_PAGES, ids=lambda path: path.name)
def test_colours_come_from_the_tokens(path: Path) -> None:
    style = re.sub(r"@media print \{.*", "", without_comments(path), flags=re.S)
    found = re.findall(r"#[0-9A-Fa-f]{3,8}\b(?=[;, )])", style)
    assert (found == []) == (path.name != "tokens.css")


@pytest.mark.parametrize("path", ON_PAGES, ids=lambda path: path.name)
def test_no_text_is_under_sixteen_pixels(path: Path) -> None:
    """Sizes on a page are tokens; the smallest token is 1 rem."""
    style = without_comments(path)
    sizes = re.findall(r"font(?:-size)?: (?:[\w.]+ )*?([\d.]+(?:px|rem|em))", style)
    assert sizes == []
    tokens = re.findall(r"--t\d+: ([\d.]+)rem", style)
    assert all(float(size) >= 1 for size in tokens)


def test_the_style_of_a_page_stays_small() -> None:
    """What one page loads, office or bay, weighs 8 kB compressed at most, comments left out."""
    sizes = {path.name: len(zlib.compress(without_comments(path).encode(), 9)) for path in ON_PAGES}
    shared = sizes["fonts.css"] + sizes["tokens.css"] + sizes["base.css"]
    assert shared + max(sizes["office.css"], sizes["bench.css"]) <= 8_000, sizes


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_nothing_is_inline(path: Path) -> None:
    """The content security policy would stop it; papers and mails are not pages."""
    if path.parts[-2] in ("papers", "emails"):
        pytest.skip("not a page")
    text = path.read_text("utf-8")
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=[\"']|javascript:", text)
    for attributes in re.findall(r"<script([^>]*)>", text):
        assert "src=" in attributes or "application/json" in attributes


def test_icons_named_in_templates_are_in_the_sprite() -> None:
    sprite = (ROOT / "static" / "icons" / "sprite.svg").read_text("utf-8")
    have = set(re.findall(r'<symbol id="([\w-]+)"', sprite))
    used = {name for path in TEMPLATES for name in re.findall(r'{% icon "([\w-]+)"', path.read_text("utf-8"))}
    assert used and used <= have

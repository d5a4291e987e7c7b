"""The registry of kinds of paper: filled at start by each subject's handlers."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from shopapp.papers.engine_files import NamedFile

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

LONGEST_FILE_NAME = 80


def _no_drawings(figures: dict[str, Any]) -> dict[str, Any]:
    return {}


def _no_files(figures: dict[str, Any]) -> Iterable[NamedFile]:
    return ()


@dataclass(frozen=True)
class PaperKind:
    """One kind: its title, template and PDF variant; the file's name and the drawings follow from the figures.

    `drawings` gives the template what is drawn from the frozen numbers, `files` the stored files that it shows; both
    read nothing else.
    """

    name: str
    title: str | _StrPromise
    template: str
    pdf_variant: str
    file_name: Callable[[dict[str, Any]], str]
    drawings: Callable[[dict[str, Any]], dict[str, Any]] = _no_drawings
    files: Callable[[dict[str, Any]], Iterable[NamedFile]] = _no_files


REGISTRY: dict[str, PaperKind] = {}


def register(
    name: str,
    *,
    title: str | _StrPromise,
    template: str,
    pdf_variant: str,
    file_name: Callable[[dict[str, Any]], str],
    drawings: Callable[[dict[str, Any]], dict[str, Any]] = _no_drawings,
    files: Callable[[dict[str, Any]], Iterable[NamedFile]] = _no_files,
) -> None:
    """Register a kind once; the same name with another template is a mistake."""
    kind = PaperKind(name, title, template, pdf_variant, file_name, drawings, files)
    if name in REGISTRY and REGISTRY[name].template != template:
        raise ValueError(f"paper kind {name!r} is registered twice")
    REGISTRY[name] = kind


def plain_name(*parts: object) -> str:
    """Join words to a file name that every system takes: small letters, digits and hyphens."""
    text = unicodedata.normalize("NFKD", "-".join(str(part) for part in parts)).casefold()
    return re.sub(r"[^a-z0-9]+", "-", text).strip("-")[:LONGEST_FILE_NAME] or "paper"

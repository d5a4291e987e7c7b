"""Sweep files that no row names: bytes reach the disk before their row does, and a cut in between leaves them."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Collection
from datetime import datetime, timedelta
from pathlib import Path

from shopapp.papers import store

KEEP = timedelta(days=2)
"""A file as young as this may still get its row."""
ASIDE = ".aside"

REGISTRY: dict[str, Callable[[Collection[str]], set[str]]] = {}


def register(name: str, named: Callable[[Collection[str]], set[str]]) -> None:
    """Register who names files: a function that gives, of some places, those that a row of its table names."""
    REGISTRY[name] = named


def sweep(*, at: datetime) -> int:
    """Take away the files that no row has named for two days; give how many.

    A file is put aside first and looked at again: `store.put` of the same bytes, which touches the file that is there,
    either came before (then it is young, and goes back) or finds none and writes it anew. Run it whenever you like.
    """
    root = store.root()
    _bring_back(root)
    old = [place for place, path in _files(root) if _age(path, at) > KEEP]
    gone = 0
    for start in range(0, len(old), 200):
        places = old[start : start + 200]
        for place in sorted(set(places) - _named(places)):
            gone += _take_away(root / place, place, at)
    return gone


def _bring_back(root: Path) -> None:
    """Put back what a sweep that was cut off left aside: it is judged anew."""
    for aside in root.glob(f"??/*{ASIDE}"):
        path = aside.with_name(aside.name.removesuffix(ASIDE))
        with contextlib.suppress(FileNotFoundError):
            if path.exists():
                aside.unlink()
            else:
                os.replace(aside, path)


def _files(root: Path) -> list[tuple[str, Path]]:
    """List the files by place, those too that a writer never came to name."""
    if not root.is_dir():
        return []
    found = [path for path in root.glob("??/*") if path.is_file()]
    return sorted((path.relative_to(root).as_posix(), path) for path in found)


def _age(path: Path, at: datetime) -> timedelta:
    try:
        return timedelta(seconds=at.timestamp() - path.stat().st_mtime)
    except OSError:
        return timedelta(0)


def _named(places: Collection[str]) -> set[str]:
    found: set[str] = set()
    for named in REGISTRY.values():
        found |= named(places)
    return found


def _take_away(path: Path, place: str, at: datetime) -> int:
    aside = path.with_name(f"{path.name}{ASIDE}")
    with contextlib.suppress(FileNotFoundError):
        os.replace(path, aside)
        if _age(aside, at) <= KEEP or _named([place]):
            os.replace(aside, path)
            return 0
        aside.unlink()
        return 1
    return 0

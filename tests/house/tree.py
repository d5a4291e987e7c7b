"""What belongs to the project: its files, by what git knows, or by walking the folder where there is no git."""

from __future__ import annotations

import shutil
import subprocess
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
NOT_OURS = {
    ".git",
    ".venv",
    ".shop",
    "__pycache__",
    ".mypy_cache",
    ".ruff_cache",
    ".pytest_cache",
    ".hypothesis",
}


@cache
def files() -> tuple[Path, ...]:
    """List the project's own files, sorted."""
    return tuple(sorted(path for path in (_by_git() or _by_walking()) if path.is_file()))


def _by_git() -> list[Path]:
    if not shutil.which("git"):
        return []
    words = ["git", "-C", str(ROOT), "ls-files", "-z"]
    answer = subprocess.run(words, capture_output=True, check=False)
    if answer.returncode:
        return []
    return [ROOT / name for name in answer.stdout.decode().split("\0") if name]


def _by_walking() -> list[Path]:
    return [path for path in ROOT.rglob("*") if not NOT_OURS & set(path.relative_to(ROOT).parts)]


def named(*endings: str, under: str = "") -> list[Path]:
    """List the files with one of these endings under a folder of the project."""
    return [path for path in files() if path.suffix in endings and (ROOT / under) in (path, *path.parents)]


def short(path: Path) -> str:
    """Give a path as it is read in a message."""
    return str(path.relative_to(ROOT))

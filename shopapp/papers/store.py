"""Stored files: named by the SHA-256 of their bytes, under MEDIA_ROOT, written whole or not at all."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from pathlib import Path

from django.conf import settings


class Missing(Exception):
    """The file is not where it was put."""


class Damaged(Exception):
    """The file's bytes are not those that were put there."""


def root() -> Path:
    """Give the folder under which every stored file lies."""
    return Path(settings.MEDIA_ROOT)


def put(content: bytes, *, suffix: str) -> tuple[str, str]:
    """Keep bytes and give (SHA-256, place); a second time with the same bytes writes nothing.

    The bytes reach the disk before the name does, and the name before this returns: a lost machine leaves either
    the whole file or none. A file of that name whose bytes are damaged is replaced.
    """
    sha256 = hashlib.sha256(content).hexdigest()
    place = f"{sha256[:2]}/{sha256}{suffix}"
    path = root() / place
    with contextlib.suppress(Missing, Damaged, FileNotFoundError):
        get(place, sha256)
        # Young again: whoever sweeps files that no row names leaves it to us (orphans.py).
        os.utime(path)
        return sha256, place
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    for folder in (path.parent, root()):
        _sync_folder(folder)
    return sha256, place


def _sync_folder(folder: Path) -> None:
    """Bring a folder's list of names to the disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def get(place: str, sha256: str) -> bytes:
    """Give the bytes at a place; raise Missing, or Damaged where they do not match their SHA-256."""
    try:
        content = (root() / place).read_bytes()
    except OSError as problem:
        raise Missing(place) from problem
    if hashlib.sha256(content).hexdigest() != sha256:
        raise Damaged(place)
    return content

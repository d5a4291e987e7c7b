"""Which stored files a paper may show: those that its frozen figures name, read back before the engine sees them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shopapp.papers import store
from shopapp.papers.pictures import SUFFIX


@dataclass(frozen=True, slots=True)
class NamedFile:
    """A stored file under the name by which a paper's page asks for it."""

    name: str
    place: str
    sha256: str


def picture_name(sha256: str) -> str:
    """Give the name under which a paper's page asks for a picture."""
    return f"picture/{sha256}{SUFFIX}"


def read(files: Iterable[NamedFile]) -> dict[str, bytes]:
    """Read the files back; raises store.Missing or store.Damaged: a paper is not made without its pictures."""
    return {file.name: store.get(file.place, file.sha256) for file in files}

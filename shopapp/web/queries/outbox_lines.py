"""The outbox as the owner reads it: of which paper each row is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from shopapp.papers import kinds
from shopapp.papers.models import Paper
from shopapp.papers.services import OUTBOX_KIND
from shopapp.shop.models import Outbox


@dataclass(frozen=True, slots=True)
class OutboxLine:
    """One row, what it does in words, and the paper it is about where there is one."""

    row: Outbox
    words: str
    paper: Paper | None

    @property
    def trouble(self) -> bool:
        """Say whether a person has to look at it."""
        return self.row.state in (Outbox.State.FAILED, Outbox.State.UNKNOWN)


def lines(rows: Iterable[Outbox]) -> list[OutboxLine]:
    """Give the rows with their papers, in one query for all; a paper's figures are not read for it."""
    found = list(rows)
    wanted = {row.pk: str(row.ids.get("paper", "")) for row in found if isinstance(row.ids, dict)}
    papers = {
        str(paper.pk): paper
        for paper in Paper.objects.only("kind").filter(pk__in={key for key in wanted.values() if key})
    }
    return [_line(row, papers.get(wanted.get(row.pk, ""))) for row in found]


def _line(row: Outbox, paper: Paper | None) -> OutboxLine:
    kind = kinds.REGISTRY.get(paper.kind) if paper is not None else None
    if paper is None or kind is None:
        return OutboxLine(row, row.kind, paper)
    made = row.kind == OUTBOX_KIND
    return OutboxLine(row, str(kind.title) if made else _("%s, by mail") % kind.title, paper)

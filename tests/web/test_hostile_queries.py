"""Hostile text in every entry of every page's address: a sentence or the text itself, never a fault.

What an address takes is found by watching: the pages are opened, and whatever is asked of `request.GET` is noted, by
views and forms alike, until nothing new is asked. Every address of the table of rights that an owner may open takes
part. Seen red: with `int(request.GET["page"])` in a view (500), with `{{ q|safe }}` in a template (markup), with a
search box that came back empty (not kept), and with a page that nothing led to.
"""

from __future__ import annotations

import random
from html import escape
from typing import Any
from urllib.parse import urlencode, urlsplit

import pytest
from django.core.handlers import wsgi
from django.http import QueryDict
from django.test import Client
from django.urls import reverse

from shopapp.people import rights
from tests.conftest import SEED, times
from tests.specs.drafts import begun
from tests.web.everything import name_of, pages_of, something_of_everything
from tests.web.hostile import HOSTILE

pytestmark = pytest.mark.django_db
SURROGATE = "a lone surrogate"
KEPT = ("emoji", "markup", "template", "sql", "right to left", "digits of another script")
NOT_LED_TO = {
    "set-up",  # opens only before there is an owner
    "healthz", "readyz",  # for machines
    "bench-state",  # asked by the sheet's script
    "bench-picture", "picture", "paper-file", "job-tag-file",  # files, each by its own number alone
}  # fmt: skip


@pytest.fixture
def watched(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Note every name that is asked of an address's query."""
    asked: set[str] = set()

    class Watched(QueryDict):
        def __getitem__(self, key: Any) -> Any:
            asked.add(str(key))
            return super().__getitem__(key)

        def get(self, key: Any, default: Any = None) -> Any:
            asked.add(str(key))
            return super().get(key, default)

        def getlist(self, key: Any, default: Any = None) -> Any:
            asked.add(str(key))
            return super().getlist(key, default)

        def __contains__(self, key: Any) -> bool:
            asked.add(str(key))
            return super().__contains__(key)

    monkeypatch.setattr(wsgi, "QueryDict", Watched)
    return asked


def names_of(client: Client, path: str, watched: set[str]) -> list[str]:
    """Give what an address asks for; one name may make it ask for another."""
    known: set[str] = set()
    while True:
        watched.clear()
        client.get(path, dict.fromkeys(sorted(known), "a"))
        if watched <= known:
            return sorted(known)
        known |= watched


def opened(client: Client, path: str, names: list[str], name: str, what: str) -> Any:
    """Open an address with one hostile entry among plain ones."""
    plain = {other: "a" for other in names if other != name}
    if what == SURROGATE:
        query = "&".join(filter(None, [urlencode(plain), f"{name}=a%ED%A0%80b%FF"]))
        return client.get(f"{path}?{query}")
    return client.get(path, plain | {name: HOSTILE[what]})


def test_hostile_text_in_every_query_of_every_page(client_as: Any, watched: set[str]) -> None:
    bench = something_of_everything()
    client = client_as(bench.owner)
    draft = begun(bench.owner)
    paths: dict[str, str] = {}
    boxes: dict[str, set[str]] = {}
    damper = bench.job.damper
    by_hand = [
        reverse("owner-procedure", args=[draft.pk]), reverse("bench-sheet", args=[bench.job.pk]),
        reverse("bench-damper", args=[damper.pk]), reverse("damper-tag", args=[damper.tag]), reverse("sign-in"),
        reverse("specimens"), reverse("shelf", args=["R2-4"]), reverse("part-tag", args=[damper.tag, "T"]),
    ]  # fmt: skip
    for address, page in pages_of(client, *by_hand):
        kind = name_of(address)
        paths.setdefault(kind, urlsplit(address).path)
        boxes.setdefault(kind, set()).update(page.boxes)
    openable = {
        name
        for name, right in rights.RIGHTS.items()
        if "GET" in right.methods and rights.may(frozenset({"owner"}), name)
    }
    assert " ".join(sorted(openable - set(paths) - NOT_LED_TO)) == ""
    client.raise_request_exception = False
    rng, wrong, sent = random.Random(SEED), [], set()
    for kind, path in sorted(paths.items()):
        names = names_of(client, path, watched)
        for name in names:
            for what in rng.sample([*HOSTILE, SURROGATE], times(3, len(HOSTILE) + 1)):
                response = opened(client, path, names, name, what)
                sent.add((kind, name))
                if response.status_code not in (200, 302, 400, 404, 422):
                    wrong.append((kind, name, what, response.status_code))
                content = b"" if response.streaming else response.content
                if b"<script>alert" in content or b"<img src=x" in content:
                    wrong.append((kind, name, what, "stands as markup"))
                kept = name in boxes[kind] and what in KEPT and response.status_code == 200
                if kept and escape(HOSTILE[what][:40]) not in content.decode():
                    wrong.append((kind, name, what, "not kept"))
    print(f"{len(paths)} pages, {len(sent)} entries of their addresses")
    assert wrong == []
    assert {("find", "q"), ("customers", "page"), ("due", "ahead"), ("stock", "show")} <= sent

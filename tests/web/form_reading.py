"""Read the forms that a page offers, as a browser would send them."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urljoin

DATE = "2026-03-02"


@dataclass
class PageForm:
    """One form that posts: where to, what stands in its fields, and what its named buttons would add."""

    action: str
    fields: dict[str, str] = field(default_factory=dict)
    buttons: dict[str, str] = field(default_factory=dict)

    def names(self) -> list[str]:
        """List what may be sent."""
        return sorted({*self.fields, *self.buttons})


class Reader(HTMLParser):
    """Collects the posting forms and the links of one page; an empty entry is filled with something plausible.

    `boxes` names the entries for text of the forms that do not post.
    """

    def __init__(self, address: str) -> None:
        super().__init__()
        self.address = address
        self.forms: list[PageForm] = []
        self.links: list[str] = []
        self.boxes: set[str] = set()
        self._by_id: dict[str, PageForm] = {}
        self._open: PageForm | None = None
        self._select: tuple[PageForm, str] | None = None
        self._area: tuple[PageForm, str] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "a" and given.get("href", "").startswith(("/", "?")):
            self.links.append(urljoin(self.address, given["href"]))
        elif tag == "form":
            self._begin(given)
        elif tag == "option" and self._select is not None:
            form, name = self._select
            if given.get("value") and ("selected" in given or not form.fields[name]):
                form.fields[name] = given["value"]
        elif tag in ("input", "select", "textarea", "button"):
            self._entry(tag, given)

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = None
        elif tag == "select":
            self._select = None
        elif tag == "textarea":
            self._area = None

    def handle_data(self, data: str) -> None:
        if self._area is not None and data.strip():
            form, name = self._area
            form.fields[name] = data

    def _begin(self, given: dict[str, str]) -> None:
        self._open = None
        if given.get("method", "").lower() == "post":
            self._open = PageForm(urljoin(self.address, given.get("action") or self.address))
            self.forms.append(self._open)
            if "id" in given:
                self._by_id[given["id"]] = self._open

    def _entry(self, tag: str, given: dict[str, str]) -> None:
        form, name = self._by_id.get(given.get("form", ""), self._open), given.get("name", "")
        if form is None and tag == "input" and given.get("type", "text") in ("text", "search"):
            self.boxes.add(name)
        if form is None or not name or name == "csrfmiddlewaretoken":
            return
        if tag == "select":
            form.fields.setdefault(name, "")
            self._select = form, name
        elif tag == "textarea":
            form.fields[name] = "words"
            self._area = form, name
        elif tag == "button":
            form.buttons[name] = given.get("value", "")
        elif given.get("type") in ("checkbox", "radio"):
            if "checked" in given or name not in form.fields:
                form.fields[name] = given.get("value") or "on"
        else:
            form.fields[name] = given.get("value") or (DATE if given.get("type") == "date" else "2")


def read_page(client: Any, address: str) -> Reader:
    """Open a page and give what it offers; nothing where it does not open or is no page."""
    reader = Reader(address)
    response = client.get(address)
    if response.status_code == 200 and response["Content-Type"].startswith("text/html"):
        reader.feed(response.content.decode())
    return reader

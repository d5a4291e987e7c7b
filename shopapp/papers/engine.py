"""The PDF engine: HTML to bytes, with our own static files and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.conf import settings
from weasyprint import HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

from shopapp import drawings
from shopapp.papers.pictures import MEDIA_TYPE

BASE = "https://paper.invalid/"
EDGE = "edge.svg"
PICTURE_DPI = 200
FOLDERS = ("css", "fonts")
TYPES = {".css": "text/css", ".woff2": "font/woff2"}


class NotOurs(Exception):
    """A paper asked for something that is not one of our static files."""


class OwnAssets(URLFetcher):
    """Fetch style sheets and fonts from static/, the drawn edge, the paper's own pictures; refuse every other address.

    `files`: the bytes of the pictures that this paper's figures name, by their name in its page. Text of customers
    lands in these papers: an address in it must reach neither a file nor the network.
    """

    def __init__(self, files: Mapping[str, bytes] | None = None) -> None:
        super().__init__()
        self.files = files or {}

    def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
        """Give one of our files by its address under BASE, or raise NotOurs."""
        name = url.removeprefix(BASE)
        if name == url:
            raise NotOurs(url[:80])
        if name == EDGE:
            return URLFetcherResponse(url, drawings.paper_edge(), {"Content-Type": "image/svg+xml"})
        if name in self.files:
            return URLFetcherResponse(url, self.files[name], {"Content-Type": MEDIA_TYPE})
        path = _own_file(name)
        return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": TYPES[path.suffix]})


def _own_file(name: str) -> Path:
    root = Path(settings.BASE_DIR) / "static"
    path = (root / name).resolve()
    folders = [(root / folder).resolve() for folder in FOLDERS]
    if path.suffix not in TYPES or path.parent not in folders or not path.is_file():
        raise NotOurs(name[:80])
    return path


def to_pdf(html: str, *, variant: str, files: Mapping[str, bytes] | None = None) -> bytes:
    """Turn a page into PDF bytes of a variant ("pdf/ua-1", "pdf/a-3a"): tagged, with the page's language and title.

    Takes a tenth of a second to a few seconds; call it outside transactions.
    """
    fonts = FontConfiguration()
    page = HTML(string=html, base_url=BASE, url_fetcher=OwnAssets(files))
    content: bytes = page.write_pdf(font_config=fonts, pdf_variant=variant, dpi=PICTURE_DPI)
    return content

"""The PDF engine reaches our own static files and nothing else, and what it makes is tagged."""

from __future__ import annotations

import io
import logging
import os
import subprocess
import sys

import pikepdf
import pytest

from shopapp.papers import engine
from shopapp.papers.engine import BASE, NotOurs, OwnAssets

PAGE = (
    '<!doctype html><html lang="{lang}"><head><title>Paper &amp; ink</title>{head}</head>'
    "<body><h1>One</h1>{body}</body></html>"
)


def page(body: str = "", head: str = "", lang: str = "en") -> str:
    return PAGE.format(body=body, head=head, lang=lang)


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/passwd",
        "http://127.0.0.1:1/x.css",
        "https://example.com/x.css",
        "data:text/css,body{}",
        BASE + "js/base.js",
        BASE + "css/../../manage.py",
        BASE + "css/%2e%2e/%2e%2e/manage.py",
        BASE + "/etc/passwd",
        BASE + "css/none.css",
        BASE,
        "fonts.css",
    ],
)
def test_an_address_that_is_not_ours_is_refused(address: str) -> None:
    with pytest.raises(NotOurs):
        OwnAssets().fetch(address)


@pytest.mark.parametrize("name", ["css/fonts.css", "css/paper.css", "fonts/b612.woff2", "edge.svg"])
def test_our_own_files_are_given(name: str) -> None:
    assert OwnAssets().fetch(BASE + name).read()


@pytest.mark.parametrize("lang", ["en", "de"])
def test_the_pdf_says_its_language_and_title_and_is_tagged(lang: str) -> None:
    with pikepdf.open(io.BytesIO(engine.to_pdf(page(lang=lang), variant="pdf/ua-1"))) as pdf:
        assert str(pdf.Root.Lang) == lang
        assert bool(pdf.Root.MarkInfo.Marked)
        assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
        with pdf.open_metadata() as words:
            assert words["dc:title"] == "Paper & ink"


def test_a_page_that_asks_for_foreign_things_is_made_without_them(caplog: pytest.LogCaptureFixture) -> None:
    body = (
        '<img alt="a" src="file:///etc/hostname"><img alt="b" src="http://127.0.0.1:1/x.png">'
        '<object data="file:///etc/hostname"></object>'
    )
    head = '<link rel="stylesheet" href="file:///etc/hostname"><style>@import "https://example.com/x.css";</style>'
    with caplog.at_level(logging.WARNING, logger="weasyprint"):
        content = engine.to_pdf(page(body, head), variant="pdf/ua-1")
    assert content.startswith(b"%PDF")
    refused = [record.getMessage() for record in caplog.records if "NotOurs" in record.getMessage()]
    assert len(refused) >= 4


def test_no_process_loads_the_engine_before_it_sets_a_paper() -> None:
    """Seen to fail while the services imported it at the top: it took longer to load than all the rest."""
    script = (
        "import django, sys; django.setup()\n"
        "from django.urls import get_resolver; get_resolver().url_patterns\n"
        "import shopapp.papers.services\n"
        "print('weasyprint' in sys.modules)"
    )
    env = {**os.environ, "DJANGO_SETTINGS_MODULE": "shopapp.settings"}
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, env=env, check=True)
    assert run.stdout.strip() == "False"

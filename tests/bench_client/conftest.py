"""One browser for the run, one context a test, and a small server that gives the page and plays the bench."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.bench_client.bay import Bay
from tests.browser import chromium


@pytest.fixture(scope="session")
def browser() -> Browser:
    return chromium()


@pytest.fixture
def bay() -> Iterator[Bay]:
    with Bay() as started:
        yield started


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """Give a tablet: 1280×800, touch; what the page writes to its console as an error fails the test."""
    context = browser.new_context(viewport={"width": 1280, "height": 800}, has_touch=True)
    opened = context.new_page()
    errors: list[str] = []
    opened.on("pageerror", lambda error: errors.append(str(error)))
    opened.set_default_timeout(5_000)
    yield opened
    context.close()
    assert not errors, errors


@pytest.fixture
def modules(bay: Bay, page: Page) -> Any:
    """Call a function of a module in the browser: `modules("locks", "judge", steps, records)`."""
    page.goto(f"{bay.url}/words")

    def call(module: str, name: str, *arguments: Any) -> Any:
        return page.evaluate(
            "([module, name, values]) => import(`/static/js/bench/${module}.js`).then((m) => m[name](...values))",
            [module, name, list(arguments)],
        )

    return call

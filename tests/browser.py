"""The one Chromium of a test run: Playwright's sync driver may be started once in a process, whoever asks first."""

from __future__ import annotations

import atexit
import os
import shutil
from functools import cache

from playwright.sync_api import Browser, Page, sync_playwright

ARGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip


@cache
def chromium() -> Browser:
    """Start Debian's Chromium (or the one that SHOP_TEST_CHROMIUM names), once; it ends with the run."""
    path = os.environ.get("SHOP_TEST_CHROMIUM") or shutil.which("chromium")
    assert path, "These tests need Debian's chromium."
    driver = sync_playwright().start()
    started = driver.chromium.launch(executable_path=path, args=ARGS)
    atexit.register(lambda: (started.close(), driver.stop()))
    return started


def settle(page: Page) -> None:
    """Wait until the page stands as it is looked at: its modules have run, its typefaces are there.

    What the pages draw by script they draw from what came with them, before `load`; waiting for a quiet network
    instead costs half a second a page for nothing.
    """
    page.wait_for_load_state("load")
    page.evaluate("() => document.fonts.ready.then(() => true)")

"""Make the README's screenshots from a running demo shop: `python deploy/make_screenshots.py ADDRESS [FOLDER]`.

Needs the test libraries (Playwright) and Debian's chromium and poppler-utils. It signs in as each of the three people,
opens what the README shows, and turns the newest rebuild report into a picture.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from playwright.sync_api import Browser, Page, sync_playwright

from shopapp.demo.names import PASSWORD

FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
OFFICE = {"width": 1280, "height": 860}
TABLET = {"width": 1280, "height": 800}


def sign_in(browser: Browser, address: str, login: str, size: dict[str, int]) -> Page:
    """Sign somebody in, in a context of their own."""
    page = browser.new_context(viewport=size, base_url=address).new_page()  # type: ignore[arg-type]
    page.goto("/sign-in")
    page.fill("[name=login_name]", login)
    page.fill("[name=password]", PASSWORD)
    page.press("[name=password]", "Enter")
    page.wait_for_url(lambda url: "/sign-in" not in url)
    return page


def bench_sheet(page: Page, stage: str) -> None:
    """Open the sheet of a damper that stands at a stage, by typing its tag as the technician does."""
    page.goto("/bench/")
    row = page.locator("table.mine tbody tr", has_text=re.compile(stage, re.I)).first
    tag = re.search(r"\d{4} \d{3}-\d", row.inner_text())
    if tag is None:
        raise SystemExit(f"No damper stands at “{stage}”.")
    page.fill("[name=tag]", tag.group(0))
    page.press("[name=tag]", "Enter")
    page.wait_for_url("**/bench/sheets/*")
    page.locator(".zones a, .zones button").first.wait_for()


def new_order(page: Page) -> None:
    """Begin an order of a customer whose vehicle has dampers that are not here yet."""
    page.goto("/orders/new")
    page.fill("[name=customer_text]", "Cobble")
    page.get_by_role("button", name="Look up").click()
    page.get_by_text("that are fitted on it are here").wait_for()


def report(page: Page, folder: Path) -> None:
    """Turn the report of the first done order into a picture of its first page."""
    page.goto("/orders/")
    numbers = page.locator("a[href^='/orders/']").evaluate_all(
        "links => links.map(link => link.getAttribute('href'))"
    )
    for number in dict.fromkeys(found for found in numbers if re.fullmatch(r"/orders/\d+", found)):
        page.goto(number)
        papers = page.locator("a[href^='/papers/']", has_text=re.compile("rebuild report", re.I))
        if not papers.count():
            continue
        pdf = page.request.get(f"{papers.first.get_attribute('href')}/file")
        if pdf.status != 200:
            continue
        with tempfile.TemporaryDirectory() as place:
            path = Path(place) / "report.pdf"
            path.write_bytes(pdf.body())
            subprocess.run(
                [
                    "pdftoppm",
                    "-r",
                    "80",
                    "-png",
                    "-f",
                    "1",
                    "-l",
                    "1",
                    "-singlefile",
                    str(path),
                    str(folder / "report"),
                ],
                check=True,
            )
        return
    raise SystemExit("No rebuild report is made yet: let the sweeper run, then try again.")


def main(address: str, folder: Path) -> None:
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        raise SystemExit("chromium is missing: apt-get install chromium")
    folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=FLAGS)
        desk = sign_in(browser, address, "pia", OFFICE)
        desk.goto("/desk")
        desk.screenshot(path=folder / "desk.png")
        new_order(desk)
        desk.screenshot(path=folder / "new-order.png", full_page=True)
        report(desk, folder)
        technician = sign_in(browser, address, "mo", TABLET)
        bench_sheet(technician, "settings")
        technician.screenshot(path=folder / "bench.png")
        owner = sign_in(browser, address, "jorun", OFFICE)
        owner.goto("/owner/")
        owner.screenshot(path=folder / "owner.png")
        browser.close()


if __name__ == "__main__":
    here = Path(__file__).resolve().parent / "screenshots"
    main(
        sys.argv[1] if len(sys.argv) > 1 else "http://127.0.0.1:8000",
        Path(sys.argv[2]) if len(sys.argv) > 2 else here,
    )

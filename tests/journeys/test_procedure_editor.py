# ruff: noqa: F811 (the bench is a fixture of another folder)
"""The owner's draft in the browser: the preview works and records nothing, forms without script, keys alone, axe."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, Route, expect

from shopapp.bench.models import Entry
from shopapp.people.models import Person
from shopapp.specs.models import Procedure
from tests.bench.conftest import bench  # noqa: F401
from tests.bench.make import Bench
from tests.browser import chromium, settle
from tests.journeys.test_every_page import RULES
from tests.specs.drafts import RESERVOIR, added, begun, changed, step_of

pytestmark = [pytest.mark.journey, pytest.mark.django_db(transaction=True)]


def page_of(person: Person, live_server: Any, **options: Any) -> Page:
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    size = {"width": 1280, "height": 800}
    context = chromium().new_context(**{"base_url": live_server.url, "viewport": size, **options})
    for name, cookie in client.cookies.items():
        context.add_cookies([{"name": name, "value": cookie.value, "url": live_server.url}])
    opened = context.new_page()
    opened.set_default_timeout(30_000)
    return opened


def at(name: str, *args: Any) -> str:
    return reverse(f"owner-{name}", args=args)


def there(page: Page, end: str) -> None:
    """Wait until a page of this address stands; its preview may still be on the way."""
    page.wait_for_url(lambda url: url.endswith(end), wait_until="domcontentloaded")
    if end.startswith("#"):  # the keys go on from there once the page has jumped to it
        expect(page.locator(f"{end}:target")).to_be_attached()


def test_the_preview_is_the_sheet_and_records_nothing(bench: Bench, live_server: Any) -> None:
    """Seen red with the bench's own queue in it: an entry was put by in the storage and sent."""
    draft = begun(bench.owner)
    page = page_of(bench.owner, live_server, viewport={"width": 820, "height": 1180})
    page.goto(at("procedure-preview", draft.pk))
    expect(page.locator("#left h1")).to_have_text("1 Receive")
    expect(page.locator("#kept b")).to_have_text("Preview: nothing is recorded")
    asked: list[str] = []
    page.on("request", lambda request: asked.append(f"{request.method} {request.url}"))
    page.locator("#action").click()
    page.locator("#zones a").nth(1).click()
    expect(page.locator("#left h1")).to_have_text("2 Wash")
    page.locator("#action").click()
    expect(page.locator("#left h1")).to_have_text("2 Wash")
    assert [line for line in asked if not line.endswith(".woff2")] == []
    assert page.evaluate("Object.keys(localStorage).filter((key) => key !== 'theme')") == []
    refused = page.evaluate("fetch('/bench/entries', {method: 'POST'}).then(() => 'sent', (e) => e.name)")
    assert refused == "TypeError", "the page's policy lets nothing out, whatever its modules do"
    assert not Entry.objects.exists()


def test_a_step_behind_a_lock_is_looked_at_from_the_draft(bench: Bench, live_server: Any) -> None:
    draft = begun(bench.owner)
    charge = step_of(draft, "charge-gas")
    page = page_of(bench.owner, live_server)
    page.goto(at("procedure", draft.pk))
    page.locator(f"#step-{charge.pk} a[target=preview]").click()
    sheet = page.frame_locator("#preview")
    expect(sheet.locator("#entry label")).to_have_text(charge.name)
    expect(sheet.locator("#reading")).to_be_visible()
    expect(sheet.locator("#left .caution").first).to_contain_text("Nitrogen.")


def test_without_script_a_version_goes_from_draft_to_release(bench: Bench, live_server: Any) -> None:
    page = page_of(bench.owner, live_server, java_script_enabled=False)
    page.goto(at("procedure", Procedure.objects.get(name=RESERVOIR).pk))
    page.get_by_role("button", name="Begin the next version from this one").click()
    page.get_by_role("link", name="Add a step Wash").click()
    page.get_by_label("Kind", exact=True).select_option("wait")
    page.get_by_label("Words", exact=True).fill("Threads left to dry")
    page.get_by_role("button", name="Add this step").click()
    expect(page.locator(".slip.error")).to_contain_text("a wait has its minutes")
    page.get_by_label("Minutes").fill("5")
    page.get_by_role("button", name="Add this step").click()
    page.get_by_role("button", name="Move up: Threads left to dry").click()
    page.get_by_role("link", name="Look over version 2 before it is released").click()
    expect(page.locator(".changes")).to_contain_text("Threads left to dry Wash: added")
    expect(page.locator(".asked")).to_contain_text("2 running jobs keep the version they began with.")
    page.get_by_role("button", name="Release version 2").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(f"{RESERVOIR}, version 2")
    assert Procedure.objects.get(name=RESERVOIR, version=2).released_at is not None


def test_with_keys_alone_a_step_is_moved_and_changed(bench: Bench, live_server: Any) -> None:
    draft = begun(bench.owner)
    step = added(bench.owner, draft)
    page = page_of(bench.owner, live_server)
    page.goto(at("procedure", draft.pk))
    page.locator(f"#step-{step.pk} .up").focus()
    page.keyboard.press("Enter")
    there(page, f"#step-{step.pk}")
    assert [row.pk for row in draft.steps.filter(stage="wash").order_by("order")][-2] == step.pk
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('li')?.id") == f"step-{step.pk}", (
        "the keys go on where the step stands now"
    )
    page.keyboard.press("Enter")
    there(page, f"/steps/{step.pk}")
    page.get_by_label("Words", exact=True).focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("Bracket wiped dry")
    page.keyboard.press("Enter")
    there(page, f"#step-{step.pk}")
    step.refresh_from_db()
    assert step.name == "Bracket wiped dry"


def test_only_what_a_kind_of_step_needs_is_shown(bench: Bench, live_server: Any) -> None:
    page = page_of(bench.owner, live_server)
    page.goto(at("step-new", begun(bench.owner).pk))
    kind, figure, minutes = (page.locator(f"#id_{name}") for name in ("kind", "figure", "minutes"))
    expect(figure).to_be_hidden()
    kind.select_option("reading")
    expect(figure).to_be_visible()
    expect(minutes).to_be_hidden()
    kind.select_option("wait")
    expect(minutes).to_be_visible()
    kind.select_option("proof")
    expect(page.locator("#id_answer-0-words")).to_be_visible()


@pytest.mark.full
@pytest.mark.parametrize("width", [820, 1280])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing(bench: Bench, live_server: Any, theme: str, width: int) -> None:
    draft = begun(bench.owner)
    step = added(bench.owner, draft, stage="settings", name="Sag looked at")
    proof = step_of(draft, "release-zero")
    page = page_of(bench.owner, live_server, viewport={"width": width, "height": 1180})
    looked = [
        at("procedures"), at("procedure-new"), at("procedure", draft.pk), at("procedure-head", draft.pk),
        at("procedure-release", draft.pk), at("step", draft.pk, proof.pk), at("step-new", draft.pk),
        at("procedure", Procedure.objects.get(name=RESERVOIR, version=1).pk), at("procedure-preview", draft.pk),
    ]  # fmt: skip
    found = {}
    for address in looked:
        page.goto(address)
        found |= faults(page, address, theme)
    page.goto(at("step", draft.pk, step.pk))
    changed(bench.owner, step, name="Theirs")
    page.get_by_role("button", name="Change this step").click()
    expect(page.locator(".slip.both")).to_contain_text("Theirs")
    found |= faults(page, "both versions", theme)
    assert found == {}


def test_a_preview_that_comes_late_leaves_the_focus_where_one_types(bench: Bench, live_server: Any) -> None:
    """Seen red while the sheet in the preview took the focus as it opened: what was typed went to nobody."""
    draft = begun(bench.owner)
    page = page_of(bench.owner, live_server)
    held: list[Route] = []
    page.route("**/preview?*", lambda route: held.append(route))
    with page.expect_request("**/preview?*"):
        page.goto(at("step", draft.pk, step_of(draft, "release-zero").pk), wait_until="domcontentloaded")
        page.locator("#preview").scroll_into_view_if_needed()
    words = page.get_by_label("Words", exact=True)
    words.focus()
    while not held:
        expect(words).to_be_focused()
    held[0].continue_()
    expect(page.frame_locator("#preview").locator("#action")).to_be_visible()
    expect(words).to_be_focused()


def faults(page: Page, where: str, theme: str) -> dict[tuple[str, str], str]:
    settle(page)
    page.evaluate("theme => { document.documentElement.dataset.theme = theme }", theme)
    results = Axe().run(page, options=RULES).response
    assert results["passes"], where
    found = {(where, one["id"]): one["nodes"][0]["html"][:160] for one in results["violations"]}
    if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
        found[(where, "scrolls sideways")] = str(page.evaluate("document.documentElement.scrollWidth"))
    return found

"""The owner's plain pages: each opens, writes once, refuses others, and keeps what its form does not show."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shopapp.due.models import Due
from shopapp.orders.models import Bay, Job, WorkOrder
from shopapp.people.models import Device, Person
from shopapp.shop.models import Act, Shop
from shopapp.stock.models import Item, Kit, LotLevel
from shopapp.tools.models import Tool
from shopapp.web.owner import load, load_data, things
from tests.bench.make import Bench, make_bench
from tests.conftest import PASSWORD, drawn

pytestmark = pytest.mark.django_db

assert load and load_data  # they fill the registry
SLUGS = tuple(things.REGISTRY)
HOSTILE = (
    "\0",
    "{{ 7*7 }}{% now 'Y' %}",
    "'; DROP TABLE shopapp_bay; --",
    "ab\u202ecd",
    "🛠" * 50,
    "9" * 4000,
    "<b>x</b>",
)


@pytest.fixture
def bench(shop: Shop, desk: Person, technician: Person, owner: Person, device: Device) -> Bench:
    return make_bench(shop=shop, desk=desk, technician=technician, owner=owner, device=device)


@pytest.fixture
def page(bench: Bench, client_as: Any) -> Client:
    return client_as(bench.owner)


def _entries(client: Client, address: str) -> dict[str, Any]:
    """Give what a browser would send back of the form as it is shown."""
    form = client.get(address).context["form"]
    sent = {}
    for field in form:
        value = field.value()
        if value is True:
            sent[field.html_name] = "on"
        elif value is not None and value is not False and value != "" and value != []:
            sent[field.html_name] = value
    return sent


@pytest.mark.parametrize("slug", SLUGS)
def test_each_list_and_form_opens(page: Client, slug: str) -> None:
    assert page.get(reverse(f"owner-{slug}")).status_code == 200
    assert page.get(reverse(f"owner-{slug}-new")).status_code == 200
    thing = things.REGISTRY[slug]
    row = thing.rows().first()
    if thing.change is not None and row is not None:
        assert page.get(reverse(f"owner-{slug}-change", args=[row.pk])).status_code == 200


@pytest.mark.parametrize("slug", SLUGS)
def test_nobody_else_may(bench: Bench, client_as: Any, slug: str) -> None:
    assert client_as(bench.desk).get(reverse(f"owner-{slug}")).status_code == 403
    assert client_as(bench.technician).post(reverse(f"owner-{slug}-new"), {}).status_code == 403
    assert client_as(bench.owner).delete(reverse(f"owner-{slug}-new")).status_code == 405


def test_a_bay_is_added_once(page: Client) -> None:
    sent = {**_entries(page, reverse("owner-bays-new")), "name": "bay 9", "order": "9"}
    for _ in range(2):
        assert page.post(reverse("owner-bays-new"), sent).status_code == 302
    assert Bay.objects.filter(name="bay 9").count() == 1
    assert page.post(reverse("owner-bays-new"), {**sent, "name": "bay 10"}).status_code == 422


@pytest.mark.parametrize("slug", SLUGS)
@pytest.mark.parametrize("text", drawn(HOSTILE, 2), ids=ascii)
def test_hostile_text_in_every_entry_is_never_a_fault(page: Client, slug: str, text: str) -> None:
    address = reverse(f"owner-{slug}-new")
    form = page.get(address).context["form"]
    sent = {field.html_name: text for field in form if field.html_name != "act_key"}
    answer = page.post(address, {**sent, "act_key": form["act_key"].value()})
    assert answer.status_code in (302, 422)
    if answer.status_code == 422:
        assert b"<b>x</b>" not in answer.content


@pytest.mark.parametrize(("slug", "model"), [("items", Item), ("kits", Kit)])
def test_a_retired_row_stays_retired_through_another_change(
    page: Client, slug: str, model: Any, now: Any
) -> None:
    """Seen to fail while the form sent no word of it and the service took that for a no."""
    row = model.objects.first()
    address = reverse(f"owner-{slug}-change", args=[row.pk])
    assert page.post(address, {**_entries(page, address), "retired": "on"}).status_code == 302
    assert page.post(address, {**_entries(page, address), "name": "another name"}).status_code == 302
    row.refresh_from_db()
    assert row.name == "another name" and row.retired_at is not None


def test_what_may_stand_in_for_a_kit_line_survives_a_change(page: Client, bench: Bench) -> None:
    """Seen to fail while the form's lines replaced the kit's without them."""
    line = bench.kit.lines.first()
    line.alternatives.add(bench.oil)
    address = reverse("owner-kits-change", args=[bench.kit.pk])
    assert page.post(address, {**_entries(page, address), "name": "Seal kit"}).status_code == 302
    assert list(bench.kit.lines.get(position=line.position).alternatives.all()) == [bench.oil]


def test_no_password_comes_into_the_hash_of_an_act(page: Client, bench: Bench) -> None:
    """The same form with another password has the same hash: nobody can try passwords against it."""
    hashes = []
    for again in (PASSWORD + "-one", PASSWORD + "-two"):
        answer = page.post(
            reverse("me"),
            {**_entries(page, reverse("me")), "old": PASSWORD, "password": again, "again": again},
        )
        assert answer.status_code == 302
        hashes.append(Act.objects.filter(verb="change_own_password").latest("at").request_hash)
        bench.owner.set_password(PASSWORD)
        bench.owner.save()
        page.force_login(bench.owner, backend="django.contrib.auth.backends.ModelBackend")
    assert len(hashes[0]) == 64 and hashes[0] == hashes[1]


@pytest.mark.parametrize("slug", [slug for slug in SLUGS if things.REGISTRY[slug].change is not None])
@pytest.mark.parametrize("revision", ["", "0", "-1", "9" * 30, None])
def test_without_the_revision_that_was_read_nothing_is_overwritten(
    page: Client, slug: str, revision: str | None
) -> None:
    """Seen to fail while a page without a revision counted as one that had read revision 0."""
    row = things.REGISTRY[slug].rows().first()
    if row is None or not hasattr(row, "revision") or getattr(row, "released_at", None):
        pytest.skip("no revision to read, or frozen")
    address = reverse(f"owner-{slug}-change", args=[row.pk])
    sent = {name: value for name, value in _entries(page, address).items() if name != "revision"}
    answer = page.post(address, sent if revision is None else {**sent, "revision": revision})
    assert answer.status_code == 422
    text = answer.content.decode()
    if not revision:
        assert "was not complete when it was sent" in text and "somebody else" not in text
    assert sent["act_key"] in text
    before = row.revision
    row.refresh_from_db()
    assert row.revision == before


def test_the_first_page_counts_what_needs_the_owners_eye(page: Client, bench: Bench) -> None:
    """Each line is seen quiet first, then with its trouble."""

    def said() -> dict[str, tuple[str, bool]]:
        looks = page.get(reverse("owner")).context["looks"]
        return {str(look.name): (str(look.words), look.trouble) for look in looks}

    today = timezone.localdate()
    WorkOrder.objects.update(promised=timezone.now() + dt.timedelta(days=2))
    Tool.objects.update(checked_until=today)
    quiet = said()
    assert quiet["Promises"] == ("all kept so far", False)
    assert quiet["Dampers stopped unsafe"] == ("none", False)
    assert quiet["Tools to check"] == ("none past its date", False)
    assert quiet["Stock"][1] is False and quiet["Kits"] == ("each can be made up", False)
    WorkOrder.objects.update(promised=timezone.now() - dt.timedelta(days=1))
    Tool.objects.filter(pk=Tool.objects.filter(kind__checked=True).earliest("pk").pk).update(
        checked_until=today - dt.timedelta(days=1)
    )
    Job.objects.filter(pk=bench.job.pk).update(state=Job.State.STOPPED)
    Item.objects.filter(pk=bench.oil.pk).update(minimum=10**9)
    LotLevel.objects.filter(lot__item__in=bench.kit.lines.values("item")).update(on_hand=0)
    yesterday = today - dt.timedelta(days=1)
    Due.objects.create(
        damper=bench.job.damper, job=bench.job, on=yesterday, because="months", serviced_on=yesterday
    )
    loud = said()
    assert loud["Promises"] == ("1 order past its promise", True)
    assert loud["Dampers stopped unsafe"] == ("1, DO NOT OPEN", True)
    assert loud["Tools to check"] == ("1 past its date", True)
    assert loud["Stock"] == ("1 item under its minimum", True)
    assert loud["Kits"] == (f"1 cannot be made up: {bench.kit.code}", True)
    assert loud["Customers overdue for service"] == ("1 customer overdue, with 1 damper", True)

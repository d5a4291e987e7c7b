"""The link of the first start: good once, from this machine, for one owner."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client

from shopapp.people.models import Person
from shopapp.people.services import staff
from shopapp.shop.models import Shop
from shopapp.shop.services.acts import AlreadyDone, DoneDifferently, Refused
from shopapp.shop.services.the_shop import ShopDetails
from tests.conftest import NOW, PASSWORD, make_person
from tests.faults.racing import race

DATA = {
    "shop_name": "Test Bench Works", "zone": "UTC", "currency": "USD",
    "login_name": "ada", "name": "Ada Orr", "initials": "AO", "password": PASSWORD, "again": PASSWORD,
}  # fmt: skip


def printed(address: str = "http://127.0.0.1:8000") -> str:
    out = io.StringIO()
    call_command("owner_link", address=address, stdout=out)
    return out.getvalue()


def path_of(text: str) -> str:
    return "/set-up/" + text.split("/set-up/")[1].strip()


def post(client: Client, path: str, **given: str) -> Any:
    key = client.get(path).context["form"]["act_key"].value()
    return client.post(path, {"act_key": key, **DATA, **given})


@pytest.mark.django_db
def test_works_once(client: Client) -> None:
    path = path_of(printed())
    assert post(client, path)["Location"] == "/sign-in"
    owner = Person.objects.get()
    assert (owner.login_name, owner.roles) == ("ada", {"owner", "desk", "technician"})
    assert owner.check_password(PASSWORD)
    assert Shop.objects.get().name == "Test Bench Works"
    assert client.get(path).status_code == 404
    assert (
        client.post(path, {**DATA, "act_key": "k", "login_name": "eve", "initials": "EV"}).status_code == 404
    )
    assert Person.objects.count() == 1


@pytest.mark.django_db
def test_the_command_prints_the_whole_address_and_nothing_once_there_is_an_owner() -> None:
    assert "http://127.0.0.1:8123/set-up/" in printed("http://127.0.0.1:8123/")
    make_person("ada", "owner")
    assert printed() == ""


@pytest.mark.django_db
def test_a_new_link_ends_the_old_one(client: Client) -> None:
    old, new = path_of(printed()), path_of(printed())
    assert client.get(old).status_code == 404
    assert client.get(new).status_code == 200


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["192.0.2.7", "10.0.0.5", "2001:db8::1", "", "not an address"])
def test_only_from_this_machine(address: str) -> None:
    path = path_of(printed())
    client = Client(REMOTE_ADDR=address)
    assert client.get(path).status_code == 404
    assert client.post(path, DATA).status_code == 404
    assert Client(REMOTE_ADDR="::1").get(path).status_code == 200


@pytest.mark.django_db
def test_a_guess_is_not_found(client: Client) -> None:
    printed()
    assert client.get("/set-up/guess").status_code == 404
    assert client.get("/set-up/%F0%9F%94%A7").status_code == 404


@pytest.mark.django_db
def test_only_the_hash_is_kept_and_only_for_us(settings: Any) -> None:
    secret = path_of(printed()).rsplit("/", 1)[1]
    kept = settings.SHOP_DATA / staff.LINK_FILE
    assert secret not in kept.read_text()
    assert kept.stat().st_mode & 0o777 == 0o600


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"password": "short", "again": "short"}, "password"),
        ({"again": "x"}, "again"),
        ({"login_name": ""}, "login_name"),
        ({"initials": "TOO LONG"}, "initials"),
        ({"zone": "Nowhere/Atall"}, "zone"),
        ({"currency": "XXZ"}, "currency"),
    ],
)
def test_what_is_refused_keeps_the_link(client: Client, given: dict[str, str], field: str) -> None:
    path = path_of(printed())
    response = post(client, path, **given)
    assert response.status_code == 422
    assert field in response.context["form"].errors
    assert Person.objects.count() == 0
    assert post(client, path)["Location"] == "/sign-in"


@pytest.mark.django_db
def test_a_taken_name_is_said_at_its_field(client: Client) -> None:
    make_person("ada", "desk", initials="XX")
    response = post(client, path_of(printed()))
    assert "taken" in str(response.context["form"].errors["login_name"])


@pytest.mark.django_db(transaction=True)
def test_of_two_at_once_one_becomes_owner() -> None:
    """Seen to fail on PostgreSQL with a call of its own for each try (`Call.fresh()`): then both get in."""
    secret = staff.make_owner_link()

    def try_it(name: str) -> Callable[[], str]:
        def attempt() -> str:
            try:
                staff.set_up_owner(
                    secret=secret, details=ShopDetails(name="One shop"), login_name=name, name=name,
                    initials=name[:2].upper(), password=PASSWORD, at=NOW,
                )  # fmt: skip
            except (AlreadyDone, DoneDifferently, Refused):
                return "too late"
            return "owner"

        return attempt

    assert sorted(race([try_it("ada"), try_it("bea")])) == ["owner", "too late"]
    assert Person.objects.filter(groups__name="owner").count() == 1

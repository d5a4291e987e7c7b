"""Signing in and out: what is right, what is wrong, what is counted, and where one is led."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
import time_machine
from django.test import Client

from shopapp.people.models import Device, Person, SignInAttempt
from shopapp.people.services import devices, signing_in
from tests.conftest import NOW, PASSWORD

pytestmark = pytest.mark.django_db

MOST = signing_in.MOST_PER_LOGIN


def sign_in(client: Client, name: str = "pia", password: str = PASSWORD, **more: str) -> Any:
    return client.post("/sign-in", {"login_name": name, "password": password, **more})


def words(response: Any) -> list[str]:
    return list(response.context["form"].non_field_errors())


def is_signed_in(client: Client) -> bool:
    return client.get("/me").status_code == 200


def test_works(desk: Person, client: Client) -> None:
    response = sign_in(client)
    assert (response.status_code, response["Location"]) == (302, "/")
    assert is_signed_in(client)
    attempt = SignInAttempt.objects.get()
    assert (attempt.person, attempt.ok, attempt.device) == (desk, True, Device.objects.get())


def test_the_name_may_be_typed_in_any_case(desk: Person, client: Client) -> None:
    assert sign_in(client, name=" Pia ").status_code == 302


def test_the_password_may_not(desk: Person, client: Client) -> None:
    assert sign_in(client, password=PASSWORD.upper()).status_code == 422


def test_the_session_gets_a_new_key(desk: Person, client: Client) -> None:
    """A key planted before signing in is worth nothing afterwards."""
    session = client.session
    session["planted"] = True
    session.save()
    planted = session.session_key
    sign_in(client)
    assert client.session.session_key != planted


@pytest.mark.parametrize("field", ["login_name", "password"])
def test_without_name_or_password_nothing_is_counted(desk: Person, client: Client, field: str) -> None:
    response = client.post("/sign-in", {"login_name": "pia", "password": PASSWORD, field: ""})
    assert response.status_code == 422
    assert SignInAttempt.objects.count() == 0


def test_wrong_and_unknown_get_the_same_answer(desk: Person, client: Client) -> None:
    wrong, unknown = sign_in(client, password="something-else"), sign_in(client, name="nobody-here")
    assert wrong.status_code == unknown.status_code == 422
    assert words(wrong) == words(unknown) == ["Log-in name and password do not go together. Type both again."]
    pages = [re.sub(r'value="[^"]*"', "", answer.content.decode()) for answer in (wrong, unknown)]
    assert pages[0] == pages[1]
    assert not is_signed_in(client)


def test_an_unknown_name_is_hashed_like_a_known_one(desk: Person, client: Client, monkeypatch: Any) -> None:
    """The time of the answer must not tell whether a name is known: each attempt hashes one password."""
    from django.contrib.auth.hashers import MD5PasswordHasher

    hashed: list[str] = []
    encode = MD5PasswordHasher.encode
    monkeypatch.setattr(
        MD5PasswordHasher,
        "encode",
        lambda self, password, salt: hashed.append(password) or encode(self, password, salt),
    )
    sign_in(client, name="nobody-here", password="typed-one")
    assert hashed == ["typed-one"]
    hashed.clear()
    sign_in(client, password="typed-two")
    assert hashed == ["typed-two"]


def test_who_left_gets_the_same_answer(desk: Person, client: Client) -> None:
    Person.objects.filter(pk=desk.pk).update(is_active=False)
    assert words(sign_in(client)) == ["Log-in name and password do not go together. Type both again."]


def test_somebody_without_a_password_cannot_sign_in(desk: Person, client: Client) -> None:
    desk.set_unusable_password()
    desk.save()
    assert sign_in(client, password="").status_code == 422
    assert sign_in(client, password=desk.password).status_code == 422


def test_locked_after_eight_wrong_ones(desk: Person, client: Client) -> None:
    for _ in range(MOST - 1):
        assert "do not go together" in words(sign_in(client, password="wrong"))[0]
    assert "Wait 15 minutes" in words(sign_in(client, password="wrong"))[0]
    assert "Wait 15 minutes" in words(sign_in(client))[0], "the right one does not open it now"
    assert not is_signed_in(client)


def test_seven_wrong_ones_do_not_lock(desk: Person, client: Client) -> None:
    for _ in range(MOST - 1):
        sign_in(client, password="wrong")
    assert sign_in(client).status_code == 302


def test_a_success_clears_the_count(desk: Person, client: Client) -> None:
    for _ in range(2):
        for _ in range(MOST - 1):
            sign_in(client, password="wrong")
        assert sign_in(client).status_code == 302


def test_the_lock_opens_after_the_window(desk: Person, client: Client) -> None:
    with time_machine.travel(NOW, tick=False) as clock:
        for _ in range(MOST):
            sign_in(client, password="wrong")
        clock.shift(signing_in.WINDOW - dt.timedelta(seconds=1))
        assert sign_in(client).status_code == 422
        clock.shift(signing_in.WINDOW + dt.timedelta(seconds=1))
        assert sign_in(client).status_code == 302


def test_a_lock_is_one_persons(desk: Person, owner: Person, client: Client) -> None:
    for _ in range(MOST):
        sign_in(client, password="wrong")
    assert sign_in(client, name="ada").status_code == 302


def test_an_unknown_name_is_locked_like_a_known_one(desk: Person, client: Client) -> None:
    answers = [words(sign_in(client, name="nobody-here")) for _ in range(MOST)]
    assert "Wait 15 minutes" in answers[-1][0]
    assert not SignInAttempt.objects.filter(login_hash__contains="nobody").exists(), (
        "the name is not kept in clear"
    )


def test_a_device_is_counted_over_all_names(shop: Any, desk: Person) -> None:
    client = Client()
    for number in range(signing_in.MOST_PER_DEVICE):
        sign_in(client, name=f"guess-{number}")
    assert "Wait 15 minutes" in words(sign_in(client))[0]
    assert sign_in(Client()).status_code == 302, "another device at the same address"


def test_the_shops_one_address_is_never_locked(shop: Any, desk: Person) -> None:
    """Who throws the cookie away and guesses name after name locks nobody else out, a new tablet included."""
    for number in range(signing_in.MOST_PER_DEVICE * 2 + 1):
        assert "do not go" in words(sign_in(Client(REMOTE_ADDR="192.0.2.7"), name=f"guess-{number}"))[0]
    assert sign_in(Client(REMOTE_ADDR="192.0.2.7")).status_code == 302


@pytest.mark.parametrize("target", ["/orders/?page=2", "/me"])
def test_one_is_led_to_the_page_one_wanted(desk: Person, client: Client, target: str) -> None:
    assert sign_in(client, next=target)["Location"] == target


@pytest.mark.parametrize(
    "target",
    ["https://elsewhere.example.com/", "//elsewhere.example.com/", "javascript:alert(1)", "/\\elsewhere.example.com", "http:///x",
     "https:elsewhere.example.com", " //elsewhere.example.com"],
)  # fmt: skip
def test_one_is_never_led_elsewhere(desk: Person, client: Client, target: str) -> None:
    assert sign_in(client, next=target)["Location"] == "/"


def test_the_page_keeps_where_one_wanted_to_go(shop: Any, client: Client) -> None:
    asked = client.get("/me")
    assert asked["Location"] == "/sign-in?next=/me"
    assert client.get(asked["Location"]).context["form"].initial["next"] == "/me"


@pytest.mark.parametrize("text", ["\0", "x" * 5000, "\ud800", "'; DROP TABLE--", "<b>x</b>", "１" * 40])
@pytest.mark.parametrize("field", ["login_name", "password", "next"])
def test_hostile_text_is_answered_in_words(desk: Person, client: Client, field: str, text: str) -> None:
    data = {"login_name": "pia", "password": "wrong", "next": "", field: text}
    body = "&".join(f"{name}={_quoted(value)}" for name, value in data.items())
    response = client.post("/sign-in", body, content_type="application/x-www-form-urlencoded")
    assert response.status_code in (400, 422)
    assert "<b>x</b>" not in response.content.decode()


def _quoted(text: str) -> str:
    from urllib.parse import quote_from_bytes

    return quote_from_bytes(text.encode("utf-8", "surrogatepass"))


def test_signing_out_ends_the_session(desk: Person, client: Client) -> None:
    sign_in(client)
    assert client.post("/sign-out")["Location"] == "/sign-in"
    assert not is_signed_in(client)


def test_signing_out_is_no_link(desk: Person, client: Client) -> None:
    sign_in(client)
    assert client.get("/sign-out").status_code == 405
    assert is_signed_in(client)


def test_an_ended_session_tells_htmx_where_to_go(shop: Any, client: Client) -> None:
    """A redirect would be swapped into the middle of the page."""
    response = client.get("/orders/", headers={"HX-Request": "true"})
    assert response.status_code == 204
    assert response["HX-Redirect"] == "/sign-in?next=/orders/"
    posted = client.post("/bench/open", headers={"HX-Request": "true"})
    assert posted["HX-Redirect"] == "/sign-in?next=/"


def test_an_ended_session_answers_the_bench_page_as_data(shop: Any, client: Client) -> None:
    response = client.post(
        "/bench/entries", "{}", content_type="application/json", headers={"Accept": "application/json"}
    )
    assert (response.status_code, response.json()) == (401, {"error": "signed out"})


def test_the_device_is_known_again(desk: Person, client: Client) -> None:
    sign_in(client)
    sign_in(client)
    assert Device.objects.count() == 1
    kept = Device.objects.get()
    cookie = client.cookies[devices.COOKIE]
    assert cookie.value not in kept.cookie_hash, "only the hash is kept"
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")


def test_a_page_makes_no_device(shop: Any, client: Client) -> None:
    client.get("/sign-in")
    client.cookies[devices.COOKIE] = "made-up"
    client.get("/sign-in")
    assert Device.objects.count() == 0


def test_a_revoked_device_is_signed_out(desk: Person, client: Client) -> None:
    sign_in(client)
    assert is_signed_in(client)
    Device.objects.update(revoked_at=NOW)
    assert client.get("/me")["Location"].startswith("/sign-in")


def test_a_revoked_device_is_not_signed_in_again(desk: Person, client: Client) -> None:
    sign_in(client)
    Device.objects.update(revoked_at=NOW)
    sign_in(client)
    assert client.get("/me")["Location"].startswith("/sign-in")


def test_who_leaves_is_signed_out(desk: Person, client: Client) -> None:
    sign_in(client)
    Person.objects.filter(pk=desk.pk).update(is_active=False)
    assert not is_signed_in(client)

"""The table of rights and the addresses are one: no URL without a right, no right without a URL."""

from __future__ import annotations

import pytest
from django.conf import settings
from django.contrib import admin
from django.core.checks import run_checks
from django.test import override_settings
from django.urls import path

from shopapp.people import rights
from shopapp.people.models import ROLES
from shopapp.web import urls as root_urls

urlpatterns = [*root_urls.urlpatterns, path("forgotten", lambda request: None, name="forgotten")]


def test_every_url_has_a_right() -> None:
    assert rights.without_right() == []
    rights.hold()


def test_every_right_has_a_url() -> None:
    assert sorted(rights.RIGHTS.keys() - set(rights.url_names())) == []


def test_a_url_without_a_right_stops_the_program() -> None:
    with override_settings(ROOT_URLCONF="tests.house.test_rights"):
        assert rights.without_right() == ["forgotten"]
        with pytest.raises(rights.NoRight, match="forgotten"):
            rights.hold()
        assert "people.E001" in {found.id for found in run_checks()}


@pytest.mark.parametrize("name", sorted(rights.RIGHTS))
def test_a_right_says_what_is_meant(name: str) -> None:
    right = rights.RIGHTS[name]
    assert right.roles <= set(ROLES)
    assert right.methods and right.methods <= {"GET", "POST"}
    assert right.session in ("log-in", "link", "none")
    assert bool(right.roles) == (right.session == "log-in"), (
        "a log-in without a role, or a role without a log-in"
    )


def test_names_are_given_once() -> None:
    names = list(rights.url_names())
    assert sorted(names) == sorted(set(names))


def test_what_begins_with_owner_is_the_owners() -> None:
    for name, right in rights.RIGHTS.items():
        if name == "owner" or name.startswith("owner-"):
            assert right.roles == {"owner"}, name


def test_the_admin_is_not_mounted() -> None:
    """It would be a second way to write."""
    assert admin.__name__ not in settings.INSTALLED_APPS
    assert not [name for name in rights.url_names() if "admin" in name]

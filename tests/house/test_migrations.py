"""The migrations say what the models say, and every foreign key of ours protects its row."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import models


@pytest.mark.django_db
def test_no_migration_is_missing(capsys: pytest.CaptureFixture[str]) -> None:
    try:
        call_command("makemigrations", check=True, dry_run=True, verbosity=1)
    except SystemExit:
        pytest.fail(f"run makemigrations: {capsys.readouterr().out}")


def test_foreign_keys_protect() -> None:
    """Nothing of the shop goes because something else goes."""
    keys = [
        field
        for model in apps.get_app_config("shopapp").get_models()
        for field in model._meta.concrete_fields
        if isinstance(field, models.ForeignKey)
    ]
    assert len(keys) > 30
    assert [str(key) for key in keys if key.remote_field.on_delete is not models.PROTECT] == []

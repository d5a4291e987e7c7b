"""The words of a choice are those that the framework would give."""

from __future__ import annotations

import pytest
from django.db.models import Model

from shopapp.dampers.models import PLACES, Fitting
from shopapp.orders.models import Job
from shopapp.specs.models import STAGES


@pytest.mark.parametrize(
    ("model", "field", "choices"),
    [
        (Job, "place", PLACES),
        (Job, "stage", STAGES),
        (Job, "outcome", Job.Outcome.choices),
        (Fitting, "place", PLACES),
    ],
)
def test_each_choice_has_its_words(model: type[Model], field: str, choices: list[tuple[str, str]]) -> None:
    """Seen red with the words of another field, and with the value itself."""
    assert list(model._meta.get_field(field).choices or ()) == list(choices)
    for value, words in [*choices, ("", ""), ("not known", "not known")]:
        assert getattr(model(**{field: value}), f"get_{field}_display")() == str(words)

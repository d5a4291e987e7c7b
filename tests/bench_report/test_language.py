"""A report speaks the customer's language: the same job, in the words of either trade."""

from __future__ import annotations

import re

import pytest
from django.utils import translation

from shopapp.customers.models import Customer
from shopapp.papers import services as papers
from shopapp.people.models import Person

from . import jobs

pytestmark = pytest.mark.django_db


def said(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<style.*?</style>|<[^>]+>", " ", html, flags=re.DOTALL))


@pytest.mark.parametrize(
    ("language", "wording", "never"),
    [
        ("en", "This damper was not rebuilt", r"\bshock"),
        ("en-us", "This shock was not rebuilt", r"\b(?<!Saltmarsh )damper\b"),
    ],
)
def test_the_report_says_the_word_of_the_customers_trade(
    bay: jobs.Bay, technician: Person, language: str, wording: str, never: str
) -> None:
    Customer.objects.update(language=language)
    bay.job.refresh_from_db()
    bay.close("unrepaired", "declined by the customer")
    paper = jobs.report_of(bay.job, technician)
    assert paper.language == language
    with translation.override("en"):  # The reader's own language is not the paper's.
        text = said(papers.render_html(paper))
    assert wording in text
    assert re.findall(never, text, re.IGNORECASE) == []

"""Tags of the desk's pages: a tag as it is printed, an amount in the shop's currency, a found text underlined."""

from decimal import Decimal
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from shopapp.dampers.services import tags
from shopapp.money.amounts import number, shown

register = template.Library()


@register.filter
def tag(digits: str) -> str:
    """Write a tag as it is printed: `4082 217-1`."""
    return tags.show(digits)


@register.simple_tag(takes_context=True)
def amount(context: template.Context, value: Decimal | None) -> str:
    """Write an amount in the shop's currency: `{% amount sums.gross %}`; nothing for None."""
    shop: Any = context.get("shop")
    if value is None:
        return ""
    return shown(value, shop.currency if shop else "USD", get_language() or "en")


@register.filter
def plain_number(value: Decimal) -> str:
    """Write a quantity without noughts after it."""
    return number(value, get_language() or "en")


@register.simple_tag
def found_in(text: str, typed: str) -> SafeString:
    """Underline what was typed where it stands in a text (blanks and hyphens between do not matter).

    `{% found_in "KM25-118834" "118" %}`; a text that does not hold it is written as it is.
    """
    wanted = [mark for mark in typed.casefold() if mark.isalnum()]
    places = [at for at, mark in enumerate(text) if mark.isalnum()]
    for start in range(len(places) - len(wanted) + 1 if wanted else 0):
        run = places[start : start + len(wanted)]
        if all(text[at].casefold() == mark for at, mark in zip(run, wanted, strict=True)):
            first, last = run[0], run[-1] + 1
            return format_html("{}<mark>{}</mark>{}", text[:first], text[first:last], text[last:])
    return format_html("{}", text)


def verbs() -> dict[str, str]:
    """Name what was done, as the history of an order or customer says it."""
    return {
        "take_in": _("received"),
        "receive_order": _("received"),
        "change_order": _("changed"),
        "record_work_consent": _("asked"),
        "assign_job": _("given out"),
        "add_order_line": _("line added"),
        "remove_order_line": _("line removed"),
        "void_job": _("job void"),
        "void_order": _("order void"),
        "scrap_job": _("scrapped"),
        "price_finding": _("finding priced"),
        "answer_finding": _("finding answered"),
        "take_back_answer": _("answer taken back"),
        "issue_invoice": _("invoice issued"),
        "issue_receipt": _("receipt printed"),
        "take_payment": _("payment taken"),
        "reverse_payment": _("payment taken back"),
        "hand_over_jobs": _("handed over"),
        "add_customer": _("added"),
        "change_customer": _("changed"),
        "add_damper": _("added"),
        "change_damper": _("corrected"),
        "retire_damper": _("retired"),
        "record_contact_consent": _("asked about letters"),
    }


@register.filter
def did(verb: str) -> str:
    """Say an act's verb as what was done; one without words of its own as its name."""
    return verbs().get(verb, verb.replace("_", " "))

"""Tags of the desk's pages: a tag as it is printed, an amount in the shop's currency, a found text underlined."""

import unicodedata
from decimal import Decimal
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from shopapp.dampers.services import tags
from shopapp.money.amounts import number, shown
from shopapp.shop.services.search_terms import fold_number

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
def found_in(text: str, looked_for: str) -> SafeString:
    """Underline what was looked for where it stands in a text: case, accents, blanks and hyphens do not matter.

    `{% found_in "KM25-118834" "118" %}`; the beginning of a word stands before its middle; a text that does not hold it
    is written as it is.
    """
    wanted = fold_number(looked_for)
    folded = [(at, mark) for at, one in enumerate(text) for mark in fold_number(one)]
    line = "".join(mark for _at, mark in folded)
    starts = [at for at in range(len(line)) if wanted and line.startswith(wanted, at)]
    if not starts:
        return format_html("{}", text)
    begun = [at for at in starts if folded[at][0] == 0 or not text[folded[at][0] - 1].isalnum()]
    start = (begun or starts)[0]
    first, last = folded[start][0], folded[start + len(wanted) - 1][0] + 1
    while last < len(text) and unicodedata.combining(text[last]):
        last += 1
    return format_html("{}<mark>{}</mark>{}", text[:first], text[first:last], text[last:])


def verbs() -> dict[str, str]:
    """Name what was done, as the history of an order or customer says it."""
    return {
        "take_in": _("received"),
        "receive_order": _("received"),
        "erase_customer": _("erased"),
        "merge_customers": _("merged a double into it"),
        "part_customers": _("parted from a double"),
        "change_order": _("changed"),
        "change_job": _("job changed"),
        "take_in_damper": _("one more damper received"),
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
        "send_paper": _("paper sent by mail"),
        "issue_receipt": _("receipt printed"),
        "take_payment": _("payment taken"),
        "reverse_payment": _("payment taken back"),
        "hand_over_jobs": _("handed over"),
        "add_customer": _("added"),
        "change_customer": _("changed"),
        "add_vehicle": _("added"),
        "change_vehicle": _("changed"),
        "record_meter": _("meter read"),
        "read_meter": _("meter read"),
        "add_damper": _("added"),
        "change_damper": _("corrected"),
        "retire_damper": _("retired"),
        "fit_damper": _("place noted"),
        "set_owner": _("owner noted"),
        "lay_part": _("laid down"),
        "send_parcel": _("sent by a carrier"),
        "keep_here": _("stays here"),
        "take_stay_back": _("to be fetched again"),
        "issue_order_report": _("report of the order issued"),
        "record_contact_consent": _("asked about letters"),
    }


@register.filter
def did(verb: str) -> str:
    """Say an act's verb as what was done; one without words of its own as its name."""
    return verbs().get(verb, verb.replace("_", " "))

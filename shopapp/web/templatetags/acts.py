"""Say what was done in words."""

from django import template
from django.utils.translation import gettext as _

register = template.Library()


@register.filter
def act_words(verb: str) -> str:
    """Give an act's verb, or what it is about, in the reader's words: `receive_order` → `receive order`."""
    return _(verb.replace("_", " ")) if verb else ""

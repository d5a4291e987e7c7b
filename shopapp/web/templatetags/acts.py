"""Say what was done in words."""

from django import template

register = template.Library()


@register.filter
def act_words(verb: str) -> str:
    """Give an act's verb as words: `receive_order` → `receive order`."""
    return verb.replace("_", " ")

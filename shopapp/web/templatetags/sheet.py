"""Tags that put marks, strips and icons on a page; every mark comes with its words."""

from collections.abc import Mapping
from typing import SupportsFloat

from django import template
from django.templatetags.static import static
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shopapp import drawings
from shopapp.bench.section_words import section_words
from shopapp.drawings.damper import DamperNumbers, damper_table
from shopapp.drawings.damper import damper_section as draw_section

register = template.Library()


def _drawn(svg: drawings.Svg) -> SafeString:
    """Let a drawing through unescaped: shopapp.drawings has escaped every text in it."""
    return mark_safe(svg)


def state_words(state: str) -> str:
    """Name a state in the trade's words."""
    return {
        "planned": _("planned"),
        "waiting": _("waiting"),
        "in_work": _("in work"),
        "stopped": _("stopped"),
        "done": _("done"),
        "void": _("void"),
    }[state.strip().lower().replace(" ", "_").replace("-", "_")]


@register.simple_tag
def state_mark(state: str, words: str = "", *, size: str = "row") -> SafeString:
    """Draw a state's line type with its words: `{% state_mark "waiting" "for a part" %}`.

    `size` is `row` (a list), or `zone` (the edge of a sheet: the words are for the screen reader only).
    """
    shown = words or state_words(str(state))
    if size == "zone":
        svg = drawings.state_mark(str(state), width=34, height=12)
        return format_html('{}<span class="hide">{}</span>', _drawn(svg), shown)
    return format_html('<span class="state">{}{}</span>', _drawn(drawings.state_mark(str(state))), shown)


@register.simple_tag
def flag(words: str) -> SafeString:
    """Draw the overdue flag with its words: `{% flag "1 day late" %}`."""
    return format_html('<span class="late">{}{}</span>', _drawn(drawings.flag()), words)


@register.simple_tag
def late_flag(days: int) -> SafeString:
    """Draw the overdue flag with the days that a promise or a payment is late: `{% late_flag 3 %}`."""
    return flag(ngettext("%(n)s day late", "%(n)s days late", days) % {"n": days})


@register.simple_tag
def overdue_flag(days: int) -> SafeString:
    """Draw the overdue flag with the days since a service was due: `{% overdue_flag 3 %}`."""
    return flag(ngettext("%(n)s day overdue", "%(n)s days overdue", days) % {"n": days})


@register.simple_tag
def limits_strip(
    value: SupportsFloat | None = None,
    low: SupportsFloat | None = None,
    high: SupportsFloat | None = None,
    *,
    words: str = "",
    verdict: str = "",
    width: float = 112,
) -> SafeString:
    """Draw a limits strip and write its words beside it; all numbers in one unit, None for what is not there.

    Words that are out of limits stand in vermillion, but the shape says it first.
    """
    numbers = [None if n in (None, "") else n for n in (value, low, high)]
    found = verdict or drawings.judge(*numbers).value
    svg = drawings.limits_strip(*numbers, verdict=found, width=width)
    shown = words or verdict_words(found)
    out = found in ("below", "above")
    return format_html(
        '<span class="say">{}<span{}>{}</span></span>',
        _drawn(svg),
        mark_safe(' class="out"') if out else "",
        shown,
    )


def verdict_words(verdict: str) -> str:
    """Name where a reading lies."""
    return {
        "inside": _("inside"),
        "below": _("below"),
        "above": _("above"),
        "none": _("no reading yet"),
    }[verdict]


@register.simple_tag
def reading_mark(verdict: str) -> SafeString:
    """Draw the mark of a reading alone; its words go to the screen reader."""
    svg = drawings.reading_mark(verdict)
    return format_html('{}<span class="hide">{}</span>', _drawn(svg), verdict_words(verdict))


@register.simple_tag
def caution_sign(size: float = 28) -> SafeString:
    """Draw the caution triangle; the words stand beside it."""
    return _drawn(drawings.caution_sign(size=size))


@register.simple_tag
def break_line() -> SafeString:
    """Draw the long break line over a safety stop."""
    return _drawn(drawings.break_line())


@register.simple_tag
def key_sign(name: str) -> SafeString:
    """Draw a sign for a key of the number pad: take_back, space, more, less."""
    return _drawn(drawings.key_sign(name))


@register.simple_tag
def paper_edge() -> SafeString:
    """Draw the edge of an A4 paper: trim, frame, zones."""
    return format_html('<div class="edge">{}</div>', _drawn(drawings.paper_edge()))


@register.simple_tag
def icon(name: str) -> SafeString:
    """Show an icon of the sprite, always beside words: `{% icon "printer" %} Print`."""
    return format_html(
        '<svg class="icon" width="24" height="24" aria-hidden="true"><use href="{}#{}"/></svg>',
        static("icons/sprite.svg"),
        name,
    )


@register.simple_tag
def damper_section(
    numbers: DamperNumbers, *, opened: str = "", links: Mapping[str, str] | None = None, width: float = 600
) -> SafeString:
    """Draw the half-section: `{% damper_section numbers opened="preload" links=links %}`."""
    return _drawn(
        draw_section(numbers, words=section_words(numbers.build), opened=opened, links=links, width=width)
    )


@register.inclusion_tag("shared/_damper_table.html")
def damper_figures(numbers: DamperNumbers) -> dict[str, object]:
    """Write the drawing's figures as a plain list, for who does not see it: `{% damper_figures numbers %}`."""
    return {"rows": damper_table(numbers, section_words(numbers.build))}

"""Two people at one row: whoever comes second sees both versions, entry by entry, and nothing of either is lost.

The form carries what it showed when it was opened. Where somebody else changed the row meanwhile, an entry that the
second person did not touch is given as it is now; one that both wrote keeps what the second wrote, with what stands
now said beside it. The second person looks, and sends it again at the revision that was seen so.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils import formats, timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

if TYPE_CHECKING:
    from shopapp.shop.services.acts import Stale

NOT_COMPARED = frozenset({"act_key", "revision", "as_read"})
LONGEST = 60_000
SHOWN = 200


class BothVersions(forms.Form):
    """The part of a form that changes a row by its revision; `initial` holds the row as it is now."""

    as_read = forms.CharField(
        required=False,
        max_length=LONGEST,
        strip=False,
        widget=forms.HiddenInput,
        error_messages={"max_length": _lazy("This page was not complete when it was sent. Load it again.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["as_read"].initial = self._as_read_now

    def _as_read_now(self) -> str:
        """Write down what the entries show of the row as it is now."""
        return json.dumps({name: _shown(self, name, self._now(name)) for name in self._compared()})

    def _compared(self) -> list[str]:
        return [
            name
            for name, field in self.fields.items()
            if name not in NOT_COMPARED and not isinstance(field, forms.FileField)
        ]

    def _now(self, name: str) -> Any:
        return self.get_initial_for_field(self.fields[name], name)

    def _mine(self, name: str) -> str:
        widget = self.fields[name].widget
        return _shown(self, name, widget.value_from_datadict(self.data, self.files, self.add_prefix(name)))  # type: ignore[arg-type]

    def _read(self) -> dict[str, str]:
        """Give what the form showed when it was opened; nothing where that was lost on the way."""
        try:
            read = json.loads(self.data.get(self.add_prefix("as_read")) or "")
        except ValueError:
            return {}
        return {str(name): str(text) for name, text in read.items()} if isinstance(read, dict) else {}

    def lay_side_by_side(self, stale: Stale) -> None:
        """Say what changed meanwhile, entry by entry, and take the form on to the revision that is shown so.

        A row that was not read again since the other's change is only said to be stale: nothing of it is known here.
        """
        now = self._now("revision") if "revision" in self.fields else None
        if stale.revision is None or now != stale.revision:
            self.add_error(None, stale.sentence)
            return
        read, data = self._read(), self.data.copy()  # type: ignore[attr-defined]
        taken, both = [], []
        for name in self._compared():
            theirs, mine = _shown(self, name, self._now(name)), self._mine(name)
            if theirs == mine or theirs == read.get(name):
                continue
            if mine == read.get(name):
                _take(data, self, name, self._now(name))
                taken.append(name)
            else:
                both.append((name, theirs))
        self._say_what_changed(stale, [str(self.fields[name].label or name) for name in taken], bool(both))
        for name, theirs in both:
            shown = _words(self, name, theirs)
            said = _("Now it says “%s”. What you wrote stands in the entry.") % shown
            self.add_error(
                name, said if shown else _("It was emptied meanwhile. What you wrote stands in the entry.")
            )
        data[self.add_prefix("revision")] = str(now)
        data[self.add_prefix("as_read")] = self._as_read_now()
        self.data = data

    def _say_what_changed(self, stale: Stale, taken: list[str], both: bool) -> None:
        parts = [_who(stale)]
        if taken:
            parts.append(_("Taken over, because you had not touched it: %s.") % ", ".join(taken))
        if both:
            parts.append(_("Where you both wrote, both versions stand below."))
        parts.append(_("Nothing of yours is stored yet. Look it over and send it again."))
        self.add_error(None, " ".join(parts))


def _who(stale: Stale) -> str:
    """Say who changed the row, and when; an act of yesterday's carries its day."""
    if stale.by is None or stale.at is None:
        return _("%s was changed by somebody else while you had it open.") % stale.what
    at = timezone.localtime(stale.at)
    words = _("%(what)s was changed by %(who)s on %(when)s while you had it open.")
    return words % {"what": stale.what, "who": stale.by, "when": formats.date_format(at, "j M Y H:i")}


def _shown(form: forms.Form, name: str, value: Any) -> str:
    """Give a value as its entry would send it."""
    field = form.fields[name]
    if isinstance(field, forms.BooleanField):
        return "on" if value else ""
    value = field.prepare_value(value)
    shown = field.widget.format_value(value)  # type: ignore[attr-defined]
    if isinstance(shown, (list, tuple)):
        return "\n".join(sorted(str(one) for one in shown if one not in (None, "")))
    return "" if shown is None else "\n".join(str(shown).split("\r\n")).strip()


def _take(data: Any, form: forms.Form, name: str, value: Any) -> None:
    """Put the other's version into what the form shows next."""
    key, text = form.add_prefix(name), _shown(form, name, value)
    field = form.fields[name]
    if isinstance(field, forms.BooleanField) and not text:
        data.pop(key, None)
    elif isinstance(field, forms.MultipleChoiceField):
        data.setlist(key, text.split("\n") if text else [])
    else:
        data[key] = text


def _words(form: forms.Form, name: str, text: str) -> str:
    """Say what an entry shows: of a choice its words, of a tick yes or no."""
    field = form.fields[name]
    if isinstance(field, forms.BooleanField):
        return _("yes") if text else _("no")
    if isinstance(field, forms.ChoiceField):
        flat = dict(_flat(field.choices))
        text = ", ".join(str(flat.get(one, one)) for one in text.split("\n"))
    return text if len(text) <= SHOWN else text[:SHOWN] + "…"


def _flat(choices: Any) -> list[tuple[str, Any]]:
    found: list[tuple[str, Any]] = []
    for key, words in choices:
        if isinstance(words, (list, tuple)):
            found += [(str(one), said) for one, said in words]
        else:
            found.append((str(key), words))
    return found

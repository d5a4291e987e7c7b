"""How a view carries out one act: the form's key, the device, the hash of what was asked; and where to go after it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.forms import Form
from django.http import HttpResponseRedirect
from django.utils.crypto import salted_hmac
from django.utils.html import format_html

from shopapp.people.requests import ShopRequest
from shopapp.shop.both_versions import BothVersions
from shopapp.shop.forms import too_old
from shopapp.shop.models import Act
from shopapp.shop.services.acts import AlreadyDone, Call, DoneDifferently, Refused, Stale, request_hash

NOT_HASHED = ("csrfmiddlewaretoken", "act_key", "password", "again", "old")
"""Left out of the hash that an act keeps for ever: the key itself, and every password."""


def call_of(request: ShopRequest, key: str) -> Call:
    """Make the call of a posted form."""
    body = {name: request.POST.getlist(name) for name in request.POST if name not in NOT_HASHED}
    files = {name: [f.size for f in request.FILES.getlist(name)] for name in request.FILES}
    plain = request_hash([request.path, body, files])
    # Keyed with the shop's secret: the hash alone lets nobody try out what somebody may have typed.
    hashed = salted_hmac("shopapp.people.once", plain, algorithm="sha256").hexdigest()
    return Call(key=key, device=request.device, request_hash=hashed)


def carry_out(
    request: ShopRequest,
    form: Form,
    do: Callable[[Call], Any],
    to: Callable[[dict[str, Any]], str],
) -> HttpResponseRedirect | None:
    """Call `do` once; give the redirect to `to(result ids)`, or None where the form now says what is wrong.

    A repeat is led to the first result. A key that was stored with another body is refused with a link to what was
    stored. A rule that says no (`Refused`) becomes an error of its field, and the form keeps its key.
    """
    key = form.cleaned_data["act_key"]
    try:
        do(call_of(request, key))
    except AlreadyDone as done:
        return HttpResponseRedirect(to(done.act.result))
    except DoneDifferently as done:
        link = to(done.act.result) if done.act.by_id == getattr(request.user, "pk", None) else ""
        words = format_html('{} <a href="{}">{}</a>', too_old(), link, link) if link else too_old()
        form.add_error(None, words)
        return None
    except Stale as no:
        if isinstance(form, BothVersions):
            form.lay_side_by_side(no)
        else:
            form.add_error(None, no.sentence)
        return None
    except Refused as no:
        form.add_error(no.field if no.field in form.fields else None, no.sentence)
        return None
    return HttpResponseRedirect(to(Act.objects.values_list("result", flat=True).get(key=key)))

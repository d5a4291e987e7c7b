"""Laying parts on shelves by scan, and what lies on a shelf."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from shopapp.dampers.queries import by_tag
from shopapp.dampers.services import tags
from shopapp.orders import services, shelves
from shopapp.orders.models import Placing, Shelf
from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.shop.services.acts import Call, Refused
from shopapp.web.forms.placing import ScanForm, WordsForm, held_of
from shopapp.web.queries import lying
from shopapp.web.queries.where_now import where_is


@require_http_methods(["GET", "HEAD", "POST"])
def place(request: ShopRequest) -> HttpResponse:
    """Lay a part down: its label is scanned, then the shelf's. What was scanned stands in the address until then."""
    sent = request.POST if request.method == "POST" else None
    held = lying.in_hand(*held_of((sent or request.GET).get("held", "")))
    if sent is None:
        return _page(request, held)
    form: ScanForm | WordsForm
    form = WordsForm(sent) if "words" in sent else ScanForm(sent, wants_shelf=held is not None)
    if form.is_valid():
        try:
            response = _understood(request, form, held)
        except Refused as no:
            form.add_error("scan" if "scan" in form.fields else "words", no.sentence)
            response = None
        if response is not None:
            return response
    return _page(request, held, form)


def _understood(
    request: ShopRequest, form: ScanForm | WordsForm, held: lying.InHand | None
) -> HttpResponse | None:
    """Take up a part, or lay the one in hand on a shelf or where the words say; Refused where neither was meant."""
    words, scan = form.cleaned_data.get("words", ""), form.cleaned_data.get("scan", "")
    if scan and tags.plain(scan):
        return _take_up(request, scan, held)
    shelf = shelves.shelf_of(scan)
    if scan and shelf is None:
        raise Refused(
            _("“%s” is no damper's tag and no shelf's code. Scan it again, or look for the label.")
            % scan[:40]
        )
    if held is None:
        raise Refused(_("Scan the part first, then the shelf that it lies on."))

    def lay(call: Call) -> Any:
        return services.lay_part(
            job=held.job, part=held.part, shelf=shelf, words=words, by=request.user, at=request.now, call=call
        )

    return once.carry_out(
        request, form, lay, to=lambda result: f"{reverse('place')}?laid={result['placing']}"
    )


def _take_up(request: ShopRequest, scan: str, held: lying.InHand | None) -> HttpResponse:
    """Note in the address which part is in hand; one that was not laid down yet is named there as well."""
    tag = tags.read(scan)
    part = tags.part(scan) or Placing.Part.BODY.value
    if lying.in_hand(tag, part) is None:
        damper = by_tag(tag)
        if damper is None:
            raise Refused(_("No damper has the tag %s. Look at the tag again.") % tags.show(tag))
        where = where_is(damper, at=request.now, names=False)
        raise Refused(_("%(tag)s is not here. %(where)s.") % {"tag": tags.show(tag), "where": where.first})
    query = {"held": f"{tag}.{part}"}
    if held is not None and held.name != query["held"]:
        query["put_back"] = held.name
    return HttpResponseRedirect(f"{reverse('place')}?{urlencode(query)}")


def _page(
    request: ShopRequest, held: lying.InHand | None, refused: ScanForm | WordsForm | None = None
) -> HttpResponse:
    initial = {"held": held.name if held else ""}
    scan = ScanForm(initial=initial, wants_shelf=held is not None)
    words = WordsForm(initial=initial, auto_id="id_words_%s")
    if isinstance(refused, ScanForm):
        scan = refused
    elif refused is not None:
        words = refused
    asked = request.GET if request.method != "POST" else {}
    context: dict[str, Any] = {
        "held": held,
        "laid": lying.laid(asked.get("laid", "")),
        "not_laid": lying.in_hand(*held_of(asked.get("put_back", ""))),
        "scan_form": scan,
        "words_form": words if held else None,
        "refused": refused,
    }
    return render(request, "web/place.html", context, status=422 if refused is not None else 200)


@require_safe
def shelf(request: ShopRequest, code: str) -> HttpResponse:
    """Show what lies on a shelf: what the code on its label opens."""
    found = Shelf.objects.filter(code=shelves.plain(code)).first()
    if found is None:
        raise Http404
    rows = lying.on_shelf(found)
    return render(request, "web/shelf.html", {"shelf": found, "rows": rows})

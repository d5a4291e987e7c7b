"""The labels of the owner's shelves: the page that offers them, and their PDF."""

from __future__ import annotations

from urllib.parse import urlencode, urlsplit

from csp.decorators import csp_replace
from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_safe

from shopapp.orders import labels, shelf_labels
from shopapp.orders.models import Shelf
from shopapp.people.requests import ShopRequest

EVERY = "all"
FIRST = next(iter(labels.STOCKS))
THIS_MACHINE = ("localhost", "127.0.0.1", "::1")


class LabelsForm(forms.Form):
    """Which shelves on which labels. It is sent by GET: it changes nothing."""

    stock = forms.ChoiceField(
        label=_lazy("Labels and printer"),
        error_messages={"invalid_choice": _lazy("There are no such labels. Choose some from the list.")},
    )
    shelf = forms.ChoiceField(
        label=_lazy("Shelves"),
        error_messages={
            "invalid_choice": _lazy("This shelf is not used any more. Choose one from the list.")
        },
    )

    def __init__(self, request: ShopRequest) -> None:
        asked = {name: request.GET.get(name, first) for name, first in (("stock", FIRST), ("shelf", EVERY))}
        super().__init__(asked)
        self.shelves = {
            row.code: row for row in Shelf.objects.filter(retired_at__isnull=True).order_by("code")
        }
        stock, shelf = self.fields["stock"], self.fields["shelf"]
        assert isinstance(stock, forms.ChoiceField) and isinstance(shelf, forms.ChoiceField)
        stock.choices = [(code, one.words) for code, one in labels.STOCKS.items()]
        shelf.choices = [(EVERY, _("all that are used")), *((code, code) for code in self.shelves)]

    def chosen(self) -> list[Shelf]:
        """Give the shelves that were asked for, after `is_valid`."""
        code = self.cleaned_data["shelf"]
        return list(self.shelves.values()) if code == EVERY else [self.shelves[code]]


@require_safe
def shelf_labels_page(request: ShopRequest) -> HttpResponse:
    """Show the labels as they will be printed, and let choose stock and shelf."""
    form = LabelsForm(request)
    context: dict[str, object] = {"form": form, "any": bool(form.shelves)}
    if form.is_valid() and form.shelves:
        address = labels.public_address(request.shop)
        context |= {
            "file": f"{reverse('owner-shelf-labels-file')}?{urlencode(form.cleaned_data)}",
            "number": len(form.chosen()),
            "local": urlsplit(address).hostname in THIS_MACHINE,
        }
    return render(request, "owner/shelf_labels.html", context, status=422 if form.errors else 200)


@require_safe
@xframe_options_sameorigin
@csp_replace({"object-src": ["'self'"]})  # type: ignore[arg-type]
def shelf_labels_file(request: ShopRequest) -> HttpResponse:
    """Give the PDF of the labels, made anew each time."""
    form = LabelsForm(request)
    if not form.is_valid() or not form.shelves:
        raise Http404
    stock = labels.STOCKS[form.cleaned_data["stock"]]
    content = labels.pdf_of(shelf_labels.to_label(form.chosen(), request.shop), stock)
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{shelf_labels.file_name(stock)}.pdf"'
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    return response

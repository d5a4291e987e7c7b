"""The labels of the owner's shelves: the page that offers them, and their PDF."""

from __future__ import annotations

from urllib.parse import urlencode

from csp.decorators import csp_replace
from django import forms
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_safe

from shopapp.orders import labels, shelf_labels
from shopapp.orders.models import Shelf
from shopapp.people.requests import ShopRequest
from shopapp.web import label_files
from shopapp.web.forms.labels import LabelsForm


class ShelfLabelsForm(LabelsForm):
    """The shelves that are used."""

    which = "shelf"
    shelf = forms.ChoiceField(
        label=_lazy("Shelves"),
        error_messages={
            "invalid_choice": _lazy("This shelf is not used any more. Choose one from the list.")
        },
    )

    def __init__(self, asked: QueryDict) -> None:
        rows = Shelf.objects.filter(retired_at__isnull=True).order_by("code")
        things = {row.code: row for row in rows}
        super().__init__(asked, things, every=_("all that are used"), named={code: code for code in things})


@require_safe
def shelf_labels_page(request: ShopRequest) -> HttpResponse:
    """Show the labels as they will be printed, and let choose stock and shelf."""
    form = ShelfLabelsForm(request.GET)
    context: dict[str, object] = {"form": form, "any": bool(form.things)}
    if form.is_valid() and form.things:
        context |= {
            "file": f"{reverse('owner-shelf-labels-file')}?{urlencode(form.cleaned_data)}",
            "number": len(form.chosen()),
            "local": label_files.is_local(labels.public_address(request.shop)),
        }
    return render(request, "owner/shelf_labels.html", context, status=422 if form.errors else 200)


@require_safe
@xframe_options_sameorigin
@csp_replace({"object-src": ["'self'"]})  # type: ignore[arg-type]
def shelf_labels_file(request: ShopRequest) -> HttpResponse:
    """Give the PDF of the labels, made anew each time."""
    form = ShelfLabelsForm(request.GET)
    if not form.is_valid() or not form.things:
        raise Http404
    content = labels.pdf_of(shelf_labels.to_label(form.chosen(), request.shop), form.on)
    return label_files.pdf(content, shelf_labels.file_name(form.on))

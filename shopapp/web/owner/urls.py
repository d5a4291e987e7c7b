"""Addresses of the owner's pages."""

from django.urls import URLPattern, path

from shopapp.web.owner import (
    comebacks,
    procedure_acts,
    procedure_steps,
    procedures,
    sheet_acts,
    shelf_labels,
    views,
)

NEVER_CHANGED = ("tax-rates", "terms")
SLUGS = (
    "people", "work-types", "tax-rates", "terms", "models", "specs", "bays", "shelves", "items", "kits",
    "tool-kinds", "tools",
)  # fmt: skip


def _thing(slug: str) -> list[URLPattern]:
    found = [
        path(f"owner/{slug}/", views.listed, {"slug": slug}, name=f"owner-{slug}"),
        path(f"owner/{slug}/new", views.new, {"slug": slug}, name=f"owner-{slug}-new"),
    ]
    if slug not in NEVER_CHANGED:
        address = f"owner/{slug}/<int:pk>"
        found.append(path(address, views.change, {"slug": slug}, name=f"owner-{slug}-change"))
    return found


urlpatterns = [
    path("owner/", views.owner, name="owner"),
    path("owner/shop", views.the_shop_page, name="owner-shop"),
    path("owner/outbox", views.outbox, name="owner-outbox"),
    path("owner/acts", views.acts, name="owner-acts"),
    path("owner/comebacks", comebacks.comeback_list, name="owner-comebacks"),
    path("owner/procedures/", procedures.procedures, name="owner-procedures"),
    path("owner/procedures/<int:pk>", procedures.procedure, name="owner-procedure"),
    path("owner/procedures/new", procedure_acts.begin, name="owner-procedure-new"),
    path("owner/procedures/<int:pk>/preview", procedures.preview, name="owner-procedure-preview"),
    path("owner/procedures/<int:pk>/file", procedures.procedure_file, name="owner-procedure-file"),
    path("owner/procedures/<int:pk>/next", procedure_acts.renew, name="owner-procedure-next"),
    path("owner/procedures/<int:pk>/head", procedure_acts.head, name="owner-procedure-head"),
    path("owner/procedures/<int:pk>/release", procedure_acts.release, name="owner-procedure-release"),
    path("owner/procedures/<int:pk>/discard", procedure_acts.discard, name="owner-procedure-discard"),
    path("owner/procedures/<int:pk>/retire", procedure_acts.retire, name="owner-procedure-retire"),
    path("owner/procedures/<int:pk>/steps/new", procedure_steps.new, name="owner-step-new"),
    path("owner/procedures/<int:pk>/steps/move", procedure_steps.move, name="owner-step-move"),
    path("owner/procedures/<int:pk>/steps/<int:step_pk>", procedure_steps.change, name="owner-step"),
    path(
        "owner/procedures/<int:pk>/steps/<int:step_pk>/remove",
        procedure_steps.remove,
        name="owner-step-remove",
    ),
    path("owner/specs/<int:pk>/release", sheet_acts.release, name="owner-spec-release"),
    path("owner/specs/<int:pk>/renew", sheet_acts.renew, name="owner-spec-renew"),
    path("owner/shelves/labels", shelf_labels.shelf_labels_page, name="owner-shelf-labels"),
    path("owner/shelves/labels/file", shelf_labels.shelf_labels_file, name="owner-shelf-labels-file"),
    *(pattern for slug in SLUGS for pattern in _thing(slug)),
]

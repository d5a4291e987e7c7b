"""Addresses of the owner's pages."""

from django.urls import URLPattern, path

from shopapp.web.owner import comebacks, procedures, views

NEVER_CHANGED = ("tax-rates", "terms")
SLUGS = (
    "people", "work-types", "tax-rates", "terms", "models", "specs", "bays", "items", "kits", "tool-kinds", "tools",
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
    path("owner/specs/<int:pk>/release", procedures.release, name="owner-spec-release"),
    path("owner/specs/<int:pk>/renew", procedures.renew, name="owner-spec-renew"),
    *(pattern for slug in SLUGS for pattern in _thing(slug)),
]

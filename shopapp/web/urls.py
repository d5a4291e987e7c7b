"""The root of all addresses."""

from django.urls import include, path

from shopapp.web import views

SUBJECTS = (
    "shop", "people", "papers", "customers", "dampers", "specs", "stock", "tools", "orders", "bench", "money", "due",
)  # fmt: skip

urlpatterns = [
    path("", views.home, name="home"),
    path("specimens", views.specimens, name="specimens"),
    path("healthz", views.healthz, name="healthz"),
    path("readyz", views.readyz, name="readyz"),
    *(path("", include(f"shopapp.{subject}.urls")) for subject in SUBJECTS),
]

handler400 = "shopapp.web.views.bad_request"
handler403 = "shopapp.web.views.no_right"
handler404 = "shopapp.web.views.not_found"
handler500 = "shopapp.web.views.broken"

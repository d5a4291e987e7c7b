"""The root of all addresses."""

from django.urls import include, path

from shopapp.web import views

SUBJECTS = (
    "shop", "people", "papers", "customers", "dampers", "specs", "stock", "tools", "orders", "bench", "money", "due",
)  # fmt: skip

urlpatterns = [
    path("", views.home, name="home"),
    path("desk", views.desk, name="desk"),
    path("find", views.find, name="find"),
    path("orders/new", views.order_new, name="order-new"),
    path("orders/<int:number>", views.order, name="order"),
    path("orders/<int:number>/change", views.order_change, name="order-change"),
    path("orders/<int:number>/dampers/new", views.order_damper_new, name="order-damper-new"),
    path("orders/<int:number>/consent", views.order_consent, name="order-consent"),
    path("orders/<int:number>/export", views.order_export, name="order-export"),
    path("orders/<int:number>/report", views.order_report, name="order-report"),
    path("orders/<int:number>/tags", views.order_tags, name="order-tags"),
    path("orders/<int:number>/tags/file", views.order_tags_file, name="order-tags-file"),
    path("orders/<int:number>/receipt", views.order_receipt, name="order-receipt"),
    path("orders/<int:number>/lines", views.order_line_new, name="order-line-new"),
    path("orders/<int:number>/lines/<int:pk>/remove", views.order_line_remove, name="order-line-remove"),
    path("orders/<int:number>/void", views.order_void, name="order-void"),
    path("orders/<int:number>/void-job", views.job_void, name="job-void"),
    path("orders/<int:number>/stay", views.job_stay, name="job-stay"),
    path("orders/<int:number>/stay-back", views.stay_back, name="stay-back"),
    path("orders/<int:number>/scrap", views.job_scrap, name="job-scrap"),
    path("jobs/<int:pk>/change", views.job_change, name="job-change"),
    path("jobs/<int:pk>/assign", views.job_assign, name="job-assign"),
    path("findings/<int:pk>/price", views.finding_price, name="finding-price"),
    path("findings/<int:pk>/answer", views.finding_answer, name="finding-answer"),
    path("findings/<int:pk>/take-back", views.finding_take_back, name="finding-take-back"),
    path("bench/pictures", views.picture_new, name="bench-picture-new"),
    path("bench/pictures/<uuid:pk>", views.bench_picture, name="bench-picture"),
    path("papers/<uuid:pk>/send", views.paper_send, name="paper-send"),
    path("pictures/<uuid:pk>", views.picture, name="picture"),
    path("bench/jobs/<int:pk>/tag", views.job_tag, name="job-tag"),
    path("bench/tags/<uuid:pk>/file", views.job_tag_file, name="job-tag-file"),
    path("customers/<int:pk>", views.customer, name="customer"),
    path("customers/<int:pk>/export", views.customer_export, name="customer-export"),
    path("vehicles/<int:pk>", views.vehicle, name="vehicle"),
    path("dampers/<int:pk>", views.damper, name="damper"),
    path("bench/dampers/<int:pk>", views.bench_damper, name="bench-damper"),
    path("D/<str:tag>", views.damper_tag, name="damper-tag"),
    path("D/<str:tag>/<str:part>", views.part_tag, name="part-tag"),
    path("S/<str:code>", views.shelf, name="shelf"),
    path("bench/place", views.place, name="place"),
    path("", include("shopapp.web.owner.urls")),
    path("specimens", views.specimens, name="specimens"),
    path("healthz", views.healthz, name="healthz"),
    path("readyz", views.readyz, name="readyz"),
    *(path("", include(f"shopapp.{subject}.urls")) for subject in SUBJECTS),
]

handler400 = "shopapp.web.views.bad_request"
handler403 = "shopapp.web.views.no_right"
handler404 = "shopapp.web.views.not_found"
handler500 = "shopapp.web.views.broken"

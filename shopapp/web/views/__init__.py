"""Pages over several subjects, by room."""

from shopapp.web.views.customer import customer
from shopapp.web.views.damper import bench_damper, damper, damper_tag, part_tag
from shopapp.web.views.desk import desk, find
from shopapp.web.views.entrance import (
    bad_request,
    broken,
    healthz,
    home,
    no_right,
    not_found,
    readyz,
    specimens,
)
from shopapp.web.views.exports import customer_export, order_export
from shopapp.web.views.findings import finding_answer, finding_price, finding_take_back
from shopapp.web.views.new_order import order_new
from shopapp.web.views.order import (
    job_assign,
    order,
    order_change,
    order_consent,
    order_line_new,
    order_line_remove,
)
from shopapp.web.views.order_ends import job_scrap, job_stay, job_void, order_void, stay_back
from shopapp.web.views.order_jobs import job_change, order_damper_new
from shopapp.web.views.order_tags import order_tags, order_tags_file
from shopapp.web.views.pictures import bench_picture, picture, picture_new
from shopapp.web.views.placing import place, shelf
from shopapp.web.views.reports import order_receipt, order_report
from shopapp.web.views.sending import paper_send
from shopapp.web.views.tags import job_tag, job_tag_file
from shopapp.web.views.vehicle import vehicle

__all__ = [
    "bad_request",
    "broken",
    "customer",
    "customer_export",
    "bench_damper",
    "bench_picture",
    "damper",
    "damper_tag",
    "desk",
    "find",
    "finding_answer",
    "finding_price",
    "finding_take_back",
    "healthz",
    "home",
    "job_assign",
    "job_change",
    "job_scrap",
    "job_stay",
    "stay_back",
    "job_void",
    "no_right",
    "job_tag",
    "job_tag_file",
    "not_found",
    "part_tag",
    "order",
    "order_change",
    "order_consent",
    "order_damper_new",
    "order_export",
    "order_line_new",
    "order_line_remove",
    "order_new",
    "order_void",
    "order_receipt",
    "order_report",
    "order_tags",
    "order_tags_file",
    "paper_send",
    "place",
    "picture",
    "picture_new",
    "readyz",
    "shelf",
    "specimens",
    "vehicle",
]

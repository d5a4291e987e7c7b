"""The tag of a job that has ended or is stopped: what it says, printing it, its file; from bench and office."""

from __future__ import annotations

import uuid
from typing import Any

from csp.decorators import csp_replace
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_http_methods, require_safe

from shopapp.bench import tag
from shopapp.bench.queries.reading import job_of
from shopapp.orders.models import Job
from shopapp.papers.models import Paper
from shopapp.papers.queries import file_of, making_of, papers_about
from shopapp.papers.views import paper_bytes
from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm

EVERY_SECONDS = "2"


@require_http_methods(["GET", "HEAD", "POST"])
def job_tag(request: ShopRequest, pk: int) -> HttpResponse:
    """Show the tag that was printed last, and print it, or print it again."""
    job = job_of(pk)
    if job is None or not tag.has_tag(job):
        raise Http404
    form = ActForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        response = once.carry_out(
            request,
            form,
            lambda call: tag.print_tag(job=job, by=request.user, at=request.now, call=call),
            to=lambda result: reverse("job-tag", args=[job.pk]),
        )
        if response is not None:
            return response
    return _page(request, job, form)


def _page(request: ShopRequest, job: Job, form: ActForm) -> HttpResponse:
    printed = [paper for paper in papers_about("job", job.pk) if paper.kind == tag.KIND]
    last = printed[0] if printed else None
    file = file_of(last) if last is not None else None
    making = making_of(last) if last is not None and file is None else None
    context: dict[str, Any] = {
        "job": job, "form": form if form.is_bound else ActForm(), "last": last, "file": file, "making": making,
    }  # fmt: skip
    response = render(request, "bench/tag.html", context, status=422 if form.errors else 200)
    if making is not None and making.state != "failed":
        response["Refresh"] = EVERY_SECONDS
    return response


@require_safe
@xframe_options_sameorigin
@csp_replace({"object-src": ["'self'"]})  # type: ignore[arg-type]
def job_tag_file(request: ShopRequest, pk: uuid.UUID) -> HttpResponse:
    """Give the PDF of a tag; of no other paper."""
    found = get_object_or_404(Paper, pk=pk, kind=tag.KIND)
    file = file_of(found)
    if file is None:
        raise Http404
    return paper_bytes(request, found, file)

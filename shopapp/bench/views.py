"""The bench: my bench, opening a sheet by its tag, the sheet, the one endpoint that takes entries; the stopped jobs."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import RequestDataTooBig
from django.http import Http404, HttpResponse, HttpResponseRedirect, JsonResponse
from django.http.request import RawPostDataException, UnreadablePostError
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shopapp.bench import receiving, services
from shopapp.bench.forms import OpenForm, ReleaseForm, TakeForm
from shopapp.bench.queries import bodies, mine, shift, tools_out
from shopapp.bench.queries import stopped as stopped_list
from shopapp.bench.queries.drawn import drawing
from shopapp.bench.queries.reading import Sheet, job_of, read_sheet
from shopapp.bench.queries.sheet import document_of
from shopapp.orders.models import Job
from shopapp.people import once
from shopapp.people.requests import ShopRequest
from shopapp.shop.forms import ActForm
from shopapp.shop.paging import paged
from shopapp.tools.giving_back import give_back


@require_safe
def bench(request: ShopRequest) -> HttpResponse:
    """Show my bench: notes to this shift, the jobs by promise, what each waits for, and the field for a tag."""
    return _bench_page(request, OpenForm())


def _bench_page(
    request: ShopRequest, form: OpenForm, refused: TakeForm | None = None, not_back: ActForm | None = None
) -> HttpResponse:
    page = paged(request, mine.open_jobs(request.user))
    context = {
        "form": form,
        "page_obj": page,
        "rows": mine.bench_rows(page, request.user, request.now),
        "notes": [
            (note, refused if _is_of(refused, note.id) else _take_form(note.id))
            for note in shift.shift_notes()
        ],
        "out": [(row, ActForm(auto_id=False)) for row in tools_out.out_with(request.user)],
        "not_back": not_back,
        "now": request.now,
    }
    wrong = form.errors or (refused is not None and refused.errors) or not_back is not None
    return render(request, "bench/bench.html", context, status=422 if wrong else 200)


def _take_form(note: UUID) -> TakeForm:
    return TakeForm(initial={"note": note}, auto_id=f"id_{note}_%s")


def _is_of(form: TakeForm | None, note: UUID) -> bool:
    return form is not None and str(form["note"].value()) == str(note)


@require_POST
def take_note(request: ShopRequest) -> HttpResponse:
    """Take a note to the next shift: once, by whoever is first."""
    form = TakeForm(request.POST)
    if not form.is_valid():
        return _bench_page(request, OpenForm(), form)
    note = shift.note_of(form.cleaned_data["note"])
    if note is None:
        raise Http404
    response = once.carry_out(
        request,
        form,
        lambda call: services.take_note(note=note, by=request.user, at=request.now, call=call),
        to=lambda result: reverse("bench"),
    )
    return response or _bench_page(request, OpenForm(), form)


@require_POST
def tool_back(request: ShopRequest, pk: int) -> HttpResponse:
    """Give back a tool that is out for a job, whoever has it, without leaving the bench."""
    done = give_back(request, pk, to="bench")
    return _bench_page(request, OpenForm(), not_back=done) if isinstance(done, ActForm) else done


@require_safe
def open_bodies(request: ShopRequest) -> HttpResponse:
    """Show what lies open, for the paper on the wall at closing time."""
    context = {"rows": bodies.open_bodies(request.now), "now": request.now}
    return render(request, "bench/open_bodies.html", context)


@require_POST
def open_sheet(request: ShopRequest) -> HttpResponse:
    """Open the sheet of a tag. Where a job was asked for, another damper's tag is refused, naming where it belongs."""
    form = OpenForm(request.POST)
    if not form.is_valid():
        return _bench_page(request, form)
    job = mine.job_to_open(form.cleaned_data["tag"])
    wanted = _wanted(request)
    if job is None:
        form.add_error(
            "tag", _("This tag is not in an open order. Ask the front desk to receive the damper.")
        )
    elif wanted is not None and wanted.pk != job.pk:
        words = _("Wrong damper. This tag belongs to %(is)s. The sheet is for %(wanted)s.")
        form.add_error("tag", words % {"is": mine.where_words(job), "wanted": mine.where_words(wanted)})
    else:
        return HttpResponseRedirect(reverse("bench-sheet", args=[job.pk]))
    return _bench_page(request, form)


def _wanted(request: ShopRequest) -> Job | None:
    """Give the job that a tag was asked for (the row that was tapped), where one was."""
    text = request.POST.get("job", "")
    return job_of(int(text)) if text.isascii() and text.isdigit() and len(text) < 19 else None


def _sheet(pk: int) -> Sheet:
    job = job_of(pk)
    if job is None or job.state == Job.State.VOID:
        raise Http404
    return read_sheet(job)


@never_cache
@require_safe
def sheet(request: ShopRequest, pk: int) -> HttpResponse:
    """Show the bench sheet of a job: the page holds the whole document."""
    found = _sheet(pk)
    context = {
        "sheet": document_of(found, request.user, request.now),
        "job": found.job,
        "drawing": drawing(found),
    }
    return render(request, "bench/sheet.html", context)


@never_cache
@require_safe
def state(request: ShopRequest, pk: int) -> JsonResponse:
    """Give the same document as JSON."""
    return JsonResponse(document_of(_sheet(pk), request.user, request.now))


@require_POST
def entries(request: ShopRequest) -> JsonResponse:
    """Take entries: a list in, an answer for each out."""
    try:
        posted = receiving.read_body(_body(request), at=request.now)
    except receiving.Turned as turned:
        return JsonResponse({"error": turned.sentence}, status=turned.status)
    answer: dict[str, Any] = receiving.take(posted, by=request.user, device=request.device, at=request.now)
    return JsonResponse(answer)


def _body(request: ShopRequest) -> bytes:
    if request.content_type != "application/json":
        raise receiving.Turned(_("Entries are sent as JSON."))
    try:
        length = int(request.META.get("CONTENT_LENGTH") or 0)
    except ValueError:
        raise receiving.Turned(_("This list cannot be read. Load the sheet again.")) from None
    if length > receiving.LARGEST_BODY:
        raise receiving.Turned(_("This list is too long. Send fewer entries at once."), 413)
    try:
        return request.body
    except RequestDataTooBig:
        raise receiving.Turned(_("This list is too long. Send fewer entries at once."), 413) from None
    except (RawPostDataException, UnreadablePostError):
        raise receiving.Turned(_("This list did not arrive whole. Send it again.")) from None


@require_http_methods(["GET", "HEAD", "POST"])
def stopped(request: ShopRequest) -> HttpResponse:
    """List the stopped jobs; the owner releases one, saying who made it safe and how."""
    form = ReleaseForm(request.POST) if request.method == "POST" else None
    if form is not None and form.is_valid():
        job = job_of(form.cleaned_data["job"])
        if job is None:
            raise Http404
        response = once.carry_out(
            request,
            form,
            lambda call: services.release_job(
                job=job, words=form.cleaned_data["words"], by=request.user, at=request.now, call=call
            ),
            to=lambda result: reverse("owner-stopped"),
        )
        if response is not None:
            messages.success(request, _("The damper is released: it can be closed as unsafe."))
            return response
    return _stopped_page(request, form)


def _stopped_page(request: ShopRequest, refused: ReleaseForm | None) -> HttpResponse:
    page = paged(request, stopped_list.stopped_jobs())
    asked = refused["job"].value() if refused is not None else None
    rows = []
    for job in page:
        row = stopped_list.stopped_row(job)
        form = (
            refused
            if str(job.pk) == str(asked)
            else ReleaseForm(initial={"job": job.pk}, auto_id=f"id_{job.pk}_%s")
        )
        rows.append((row, None if row.released else form))
    orphan = refused if refused is not None and all(form is not refused for _row, form in rows) else None
    context = {"page_obj": page, "rows": rows, "orphan": orphan}
    return render(
        request, "bench/stopped.html", context, status=422 if refused is not None and refused.errors else 200
    )

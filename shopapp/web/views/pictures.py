"""Pictures: taken in from the tablet, one file a request; given out to whoever may see the damper."""

from __future__ import annotations

import hashlib
import uuid

from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpResponse, HttpResponseNotModified, JsonResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from shopapp.bench.queries.pictures import picture_of
from shopapp.bench.queries.reading import job_of
from shopapp.bench.services import pictures
from shopapp.orders.models import Job
from shopapp.papers import store
from shopapp.papers.pictures import MEDIA_TYPE
from shopapp.people.requests import ShopRequest
from shopapp.shop.services.acts import AlreadyDone, Call, DoneDifferently, Refused, request_hash
from shopapp.web.forms.pictures import PictureForm


@require_POST
def picture_new(request: ShopRequest) -> HttpResponse:
    """Keep one picture of a job's damper: the same id twice is one. The answer is JSON; a refusal is a sentence."""
    form = PictureForm(request.POST, request.FILES)
    # Known only once the body is read, which the line above does.
    if getattr(request, "upload_too_large", False):
        return _no(
            _("This file is too large: at most 20 MB. Take it with the camera's smaller setting."), 413
        )
    if not form.is_valid():
        sentence = next(iter(form.errors.values()))[0]
        return _no(str(sentence), 422)
    asked = form.cleaned_data
    job = job_of(asked["job"])
    if job is None or job.state == Job.State.VOID:
        return _no(_("There is no such job. Load your bench again."), 422)
    return _keep(request, job, asked["id"], asked["file"])


def _keep(request: ShopRequest, job: Job, pk: uuid.UUID, file: UploadedFile) -> HttpResponse:
    call = Call(
        key=pictures.picture_key(pk), device=request.device, request_hash=request_hash([job.pk, _hash(file)])
    )
    try:
        developed = pictures.develop(file)
        pictures.keep_picture(job=job, pk=pk, developed=developed, by=request.user, at=request.now, call=call)
    except AlreadyDone:
        return JsonResponse({"id": str(pk), "state": "stored before"})
    except DoneDifferently as done:
        # The same picture sent on by another person's log-in is the same picture.
        if done.act.verb == "keep_picture" and done.act.request_hash == call.request_hash:
            return JsonResponse({"id": str(pk), "state": "stored before"})
        return _no(_("Another picture is stored under this number already. Take it again."), 409)
    except Refused as no:
        return _no(no.sentence, 422)
    return JsonResponse({"id": str(pk), "state": "stored"})


def _hash(file: UploadedFile) -> str:
    """Give the SHA-256 of the file as it came, and wind it back."""
    found = hashlib.sha256()
    for piece in file.chunks():
        found.update(piece)
    file.seek(0)
    return found.hexdigest()


def _no(sentence: str, status: int) -> JsonResponse:
    return JsonResponse({"error": sentence}, status=status)


@require_safe
def picture(request: ShopRequest, pk: uuid.UUID) -> HttpResponse:
    """Give a picture's bytes in the office, read back against their SHA-256."""
    found = picture_of(pk)
    if found is None:
        raise Http404
    if request.headers.get("If-None-Match") == f'"{found.sha256}"':
        return HttpResponseNotModified()
    try:
        content = store.get(found.place, found.sha256)
    except store.Missing:
        return _gone(_("This picture is not in the shop's data any more. Bring it back from the backup."))
    except store.Damaged:
        words = _("This picture was changed on the disk and is not shown. Bring it back from the backup.")
        return _gone(words)
    response = HttpResponse(content, content_type=MEDIA_TYPE)
    response["Content-Disposition"] = f'inline; filename="picture-{found.sha256[:12]}.jpg"'
    response["Cache-Control"] = "private, max-age=86400"
    response["ETag"] = f'"{found.sha256}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _gone(words: str) -> HttpResponse:
    return HttpResponse(words, content_type="text/plain; charset=utf-8", status=410)


@require_safe
def bench_picture(request: ShopRequest, pk: uuid.UUID) -> HttpResponse:
    """Give the same bytes to a tablet."""
    return picture(request, pk)

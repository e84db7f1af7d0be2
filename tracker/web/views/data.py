"""Files in, with a look before anything is written, and files out."""

import base64
import hashlib
import zlib
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.imports import loading, undoing
from tracker.queries import exports, imports
from tracker.web.forms.data import LoadForm
from tracker.web.permissions import ViewerRequest, needs

# The chosen file waits in the server's session, never in the page, until it is loaded or replaced.
WAITING = "file-waiting"
# Faults that a page shows; nobody mends more at a time.
SHOWN = 200


@require_http_methods(["GET", "HEAD", "POST"])
@needs("load-data")
def load(request: ViewerRequest) -> HttpResponse:
    form = LoadForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        _keep(request, form.cleaned_data)
        return redirect("data-preview")
    context = {"form": form, "batches": imports.batches(request.viewer)}
    return render(request, "data/load.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@needs("load-data")
def preview(request: ViewerRequest) -> HttpResponse:
    waiting = _waiting(request)
    if waiting is None:
        if request.method == "POST":
            messages.info(request, _("No file is waiting: it was loaded already, or it must be chosen again."))
        return redirect("data-load")
    try:
        if request.method == "POST":
            return _load(request, waiting)
        plan = loading.preview(
            kind=waiting["kind"], content=waiting["content"], by=request.viewer, on=request.viewer.today
        )
    except Refused as refused:
        messages.error(request, refused.sentence)
        return redirect("data-load")
    context = {"plan": plan, "name": waiting["name"], "digest": waiting["digest"], "faults": plan.faults[:SHOWN]}
    return render(request, "data/preview.html", context)


def _load(request: ViewerRequest, waiting: dict[str, Any]) -> HttpResponse:
    if request.POST.get("digest") != waiting["digest"]:
        messages.info(request, _("Another file was chosen since. This is what that one would do."))
        return redirect("data-preview")
    viewer = request.viewer
    batch = loading.load(
        kind=waiting["kind"], content=waiting["content"], file_name=waiting["name"], by=viewer, on=viewer.today
    )
    request.session.pop(WAITING, None)
    if batch is None:
        messages.info(request, _("Everything in this file was there already. Nothing was changed."))
    else:
        sentence = ngettext("%(count)s row was loaded.", "%(count)s rows were loaded.", batch.made)
        messages.success(request, sentence % {"count": batch.made})
    return redirect("data-load")


@require_POST
@needs("load-data")
def undo(request: ViewerRequest, batch_id: str) -> HttpResponse:
    try:
        undoing.undo(batch_id=batch_id, by=request.viewer, on=request.viewer.today)
        messages.success(request, _("The import was undone."))
    except Refused as refused:
        messages.error(request, refused.sentence)
    except OutOfScope as missing:
        raise Http404 from missing
    return redirect("data-load")


@require_safe
@needs("load-data")
def export(request: ViewerRequest) -> HttpResponse:
    return render(request, "data/export.html", {"choices": exports.CHOICES})


@require_safe
@needs("load-data")
def export_file(request: ViewerRequest, kind: str) -> HttpResponse:
    if kind not in exports.CHOICES:
        raise Http404
    response = HttpResponse(content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="doublerule-{kind}-{request.viewer.today}.csv"'
    exports.write_csv(request.viewer, kind, response)
    return response


def _keep(request: HttpRequest, data: dict[str, Any]) -> None:
    content = data["file"].read()
    request.session[WAITING] = {
        "kind": data["kind"],
        "name": data["file"].name,
        "content": base64.b64encode(zlib.compress(content)).decode(),
        # Tells the file that was looked at from one chosen later in another window.
        "digest": hashlib.sha256(data["kind"].encode() + content).hexdigest()[:16],
    }


def _waiting(request: HttpRequest) -> dict[str, Any] | None:
    kept = request.session.get(WAITING)
    if kept is None:
        return None
    return {**kept, "content": zlib.decompress(base64.b64decode(kept["content"]))}

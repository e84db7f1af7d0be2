"""Guards for views. A person without the right gets the same 404 as for a page that does not exist."""

import logging
from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import resolve_url
from django_htmx.http import HttpResponseClientRedirect

from tracker.access.permissions import may
from tracker.access.viewer import Viewer, viewer_for
from tracker.models import User

log = logging.getLogger(__name__)

View = Callable[..., HttpResponse]


class ViewerRequest(HttpRequest):
    """A request with the viewer on it; only for type checkers."""

    user: User
    viewer: Viewer


def find_viewer(request: HttpRequest, *, now: datetime) -> Viewer | None:
    if not request.user.is_authenticated:
        return None
    chosen = request.session.get("school", "")
    return viewer_for(request.user, now=now, school_id=chosen, only_school=code_school(request))


def code_school(request: Any) -> str:
    """The school whose printed code opened this session for this person; empty after signing in by password."""
    by_code = request.session.get("by_code", {})
    return by_code.get("school", "") if by_code.get("user") == request.user.public_id else ""


def wants_json(request: HttpRequest) -> bool:
    """A script asked: it gets words it can read, never a page or a redirect."""
    sent = request.content_type == "application/json"
    return sent or request.headers.get("Accept", "").startswith("application/json")


def ask_to_sign_in(request: Any, *, json: bool = False) -> HttpResponse:
    if json or wants_json(request):
        return JsonResponse({"error": "signed-out"}, status=401)
    if request.htmx:
        # A fragment can't hold the sign-in page: the whole window goes there, and comes back to where it was.
        came_from = request.htmx.current_url_abs_path or "/"
        return HttpResponseClientRedirect(redirect_to_login(came_from).url)
    return redirect_to_login(request.get_full_path() if request.method == "GET" else resolve_url("home-landing"))


def needs(*rights: str, json: bool = False) -> Callable[[View], View]:
    """Lets a view run for a signed-in viewer with at least one of the rights (any viewer when none is named).

    With `json`, an ended sign-in is answered by 401 and JSON, whatever the request says it accepts.
    """

    def guard(view: View) -> View:
        @wraps(view)
        def guarded(request: Any, *args: Any, **kwargs: Any) -> HttpResponse:
            if not request.user.is_authenticated:
                return ask_to_sign_in(request, json=json)
            viewer = request.find_viewer()
            if viewer is None or (rights and not any(may(viewer, right) for right in rights)):
                log.log(
                    logging.WARNING, "Refused: %s lacks %s", request.user.public_id, " or ".join(rights) or "any role"
                )
                raise Http404
            request.viewer = viewer
            return view(request, *args, **kwargs)

        guarded.needs = rights  # type: ignore[attr-defined]
        guarded.answers_json = json  # type: ignore[attr-defined]
        return guarded

    return guard


def signed_in(view: View) -> View:
    """Lets a view run for anybody who is signed in, with a role or without: the pages about one's own account."""

    @wraps(view)
    def guarded(request: Any, *args: Any, **kwargs: Any) -> HttpResponse:
        if not request.user.is_authenticated:
            return ask_to_sign_in(request)
        return view(request, *args, **kwargs)

    return guarded

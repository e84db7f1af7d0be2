"""Guards for views. A person without the right gets the same 404 as for a page that does not exist."""

from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse

from tracker.access.permissions import may
from tracker.access.viewer import Viewer, viewer_for

View = Callable[..., HttpResponse]


class ViewerRequest(HttpRequest):
    """A request with the viewer on it; only for type checkers."""

    viewer: Viewer


def find_viewer(request: HttpRequest, *, now: datetime) -> Viewer | None:
    if not request.user.is_authenticated:
        return None
    return viewer_for(request.user, now=now, school_id=request.session.get("school", ""))


def needs(*rights: str) -> Callable[[View], View]:
    """Lets a view run for a signed-in viewer with at least one of the rights (any viewer when none is named)."""

    def guard(view: View) -> View:
        @wraps(view)
        def guarded(request: Any, *args: Any, **kwargs: Any) -> HttpResponse:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            viewer = request.viewer
            # A lazy viewer that found nothing is an object that is false.
            if not viewer or (rights and not any(may(viewer, right) for right in rights)):
                raise Http404
            return view(request, *args, **kwargs)

        guarded.needs = rights  # type: ignore[attr-defined]
        return guarded

    return guard

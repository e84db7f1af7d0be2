"""What every answer carries: a content policy, session limits, the viewer, and the first steps of new staff."""

from collections.abc import Callable
from functools import cache
from typing import Any

from django.conf import settings
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils.functional import SimpleLazyObject

from tracker.actions import sessions
from tracker.web import clock
from tracker.web.devices import device_name
from tracker.web.first_steps import first_step
from tracker.web.permissions import find_viewer, wants_json

Handler = Callable[[HttpRequest], HttpResponse]

# The grid asks for this by itself, which must not keep a session alive that nobody uses.
UNATTENDED = "session-state"
SEEN_EVERY = 60  # [s]


class ContentPolicyMiddleware:
    """Sends the content policy of SECURE_CSP (the built-in setting's name from Django 6 on)."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response
        self.policy = "; ".join(f"{name} {' '.join(values)}" for name, values in settings.SECURE_CSP.items())

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.setdefault("Content-Security-Policy", self.policy)
        return response


class SessionLimitsMiddleware:
    """Ends a session that stood idle or lasted too long, and keeps the list of sessions that people can see.

    The session holds when it began and was last used, so that a page costs no query for it; both it and the list are
    written at most once a minute. Pages of signed-in people are never stored.
    """

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        now = int(clock.now().timestamp())
        if request.user.is_authenticated:
            self._limit(request, now)
        key = (request.session.session_key or "") if request.user.is_authenticated else ""
        response = self.get_response(request)
        self._follow(request, key, now)
        if request.user.is_authenticated or key:
            response["Cache-Control"] = "no-store"
        return response

    def _limit(self, request: HttpRequest, now: int) -> None:
        began, seen = request.session.get("login_at", now), request.session.get("seen_at", now)
        request.session_age = now - began  # type: ignore[attr-defined]
        idle, lasted = now - seen > settings.SESSION_IDLE_SECONDS, now - began > settings.SESSION_ABSOLUTE_SECONDS
        if idle or lasted:
            sessions.forget_session(key=request.session.session_key or "")
            logout(request)

    def _follow(self, request: HttpRequest, key: str, now: int) -> None:
        """Brings the list up to date with what the view did: signed in, signed out, changed the session's key."""
        session = request.session
        here = session.session_key or ""
        if not request.user.is_authenticated:
            if key:
                sessions.forget_session(key=key)
        elif "login_at" not in session:
            session.update({"login_at": now, "seen_at": now})
            device = device_name(request.headers.get("User-Agent", ""))
            sessions.begin_session(user=request.user, key=here, device=device, at=clock.now())
        elif key != here:
            sessions.rename_session(key=key, new_key=here)
        elif now - session["seen_at"] >= SEEN_EVERY and not _unattended(request):
            session["seen_at"] = now
            sessions.touch_session(key=here, at=clock.now())


def _unattended(request: HttpRequest) -> bool:
    return request.resolver_match is not None and request.resolver_match.url_name == UNATTENDED


class ViewerMiddleware:
    """Puts the viewer on the request, found when first asked for, and leads new staff through their first steps."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.find_viewer = cache(lambda: find_viewer(request, now=clock.now()))  # type: ignore[attr-defined]
        request.viewer = SimpleLazyObject(request.find_viewer)  # type: ignore[attr-defined]
        return self.get_response(request)

    def process_view(self, request: Any, view: Callable[..., HttpResponse], *_: Any) -> HttpResponse | None:
        step = first_step(request)
        if step is None:
            return None
        if wants_json(request) or getattr(view, "answers_json", False):
            return JsonResponse({"error": "first-steps"}, status=401)
        return redirect(step)

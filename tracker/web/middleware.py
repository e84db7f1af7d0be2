"""What every answer carries: a content policy, session limits, and the viewer."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from django.utils.functional import SimpleLazyObject

from tracker.web import clock
from tracker.web.permissions import find_viewer

Handler = Callable[[HttpRequest], HttpResponse]


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
    """Ends a session that stood idle or lasted too long; pages of signed-in people are never stored."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if request.user.is_authenticated:
            response["Cache-Control"] = "no-store"
        return response


class ViewerMiddleware:
    """Puts the viewer on the request, found when first asked for."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.viewer = SimpleLazyObject(lambda: find_viewer(request, now=clock.now()))  # type: ignore[attr-defined]
        return self.get_response(request)

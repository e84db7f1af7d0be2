"""What every page is given: the viewer, the ways on, and whether this is the demo."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from tracker.web.navigation import ways_on


def page(request: HttpRequest) -> dict[str, Any]:
    viewer = getattr(request, "viewer", None)
    match = request.resolver_match
    url_name = (match.url_name or "") if match else ""
    return {
        "viewer": viewer,
        "demo": settings.DEMO,
        "nav": SimpleLazyObject(lambda: ways_on(viewer, url_name=url_name)),
    }

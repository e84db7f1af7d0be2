"""What every page is given: the viewer, the ways on, and whether this is the demo."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest


def page(request: HttpRequest) -> dict[str, Any]:
    return {"viewer": getattr(request, "viewer", None), "demo": settings.DEMO}

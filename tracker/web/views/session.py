"""The state of the sign-in, for pages that save by themselves."""

from typing import Any

from django.http import JsonResponse
from django.middleware.csrf import get_token
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET


@require_GET
@never_cache
def state(request: Any) -> JsonResponse:
    """Who is signed in, and a token that fits this sign-in."""
    user = request.user.public_id if request.user.is_authenticated else None
    return JsonResponse({"user": user, "csrf": get_token(request)})

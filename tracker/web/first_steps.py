"""What new staff do before anything else: choose a password, then set up the second factor."""

from typing import Any

from django.conf import settings

from tracker.access.viewer import STAFF
from tracker.models import Role
from tracker.queries.accounts import has_second_factor
from tracker.web.permissions import code_school

# Where a person must get to while a step is still to be taken.
OPEN_AREAS = ("account", "mfa", "session")


def first_step(request: Any) -> str | None:
    """The URL name of the page to go to first; None when there is nothing in the way."""
    if request.resolver_match.view_name.partition("-")[0].partition("_")[0] in OPEN_AREAS:
        return None
    if not request.user.is_authenticated or not _asked_of(request):
        return None
    if not request.user.has_usable_password():
        return "account-password"
    if settings.SECOND_FACTOR_FOR_STAFF and not _has_factor(request):
        return "mfa_activate_totp"
    return None


def _asked_of(request: Any) -> bool:
    """All staff, except somebody who covers for one day and came in with the code that the office handed over."""
    viewer = request.find_viewer()
    if viewer is None:
        return False
    covers_for_a_day = viewer.roles & STAFF == {Role.COVER} and code_school(request)
    return viewer.is_staff and not covers_for_a_day


def _has_factor(request: Any) -> bool:
    """Asked of the database once a session; the pages that change factors take the answer out again."""
    if not request.session.get("factor") and has_second_factor(request.user):
        request.session["factor"] = True
    return bool(request.session.get("factor"))

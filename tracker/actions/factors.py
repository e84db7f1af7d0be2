"""Second factors that were lost."""

from datetime import date

from allauth.mfa.models import Authenticator
from django.db import transaction
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.people import own_account
from tracker.actions.reach import demand, hold_school
from tracker.actions.record import Change, note_change
from tracker.actions.sessions import end_other_sessions
from tracker.models import User


@transaction.atomic
def reset_factor(*, user_id: str, by: Viewer, on: date) -> User:
    """The next sign-in asks for a new one; browsers that are signed in are sent out, for one may be in other hands."""
    demand(by, "manage-roster")
    hold_school(by)
    user = own_account(by, user_id)
    if user.pk == by.user.pk:
        raise Refused(_("You can't reset your own second factor here; another office user can."))
    kept = Authenticator.objects.filter(user=user)
    types = sorted(kept.values_list("type", flat=True))
    if not types:
        raise Refused(_("This person has no second factor that could be reset."))
    kept.delete()
    end_other_sessions(by=user, keep=None)
    note_change(Change("reset-factor", "user", user.public_id, before={"factors": types}), by=by, on=on)
    return user

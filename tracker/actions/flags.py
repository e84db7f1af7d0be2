"""What people do with flags, and the flags that the calendar raises."""

from datetime import date

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access import scopes
from tracker.access.permissions import acting
from tracker.access.viewer import Viewer
from tracker.actions.clock import raise_clock_flags
from tracker.actions.closing import flag_change
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.reach import demand
from tracker.actions.record import note_change
from tracker.models import Flag

__all__ = ["close_flag", "raise_clock_flags", "see_flag"]

LONGEST_WHY = 300


@transaction.atomic
def see_flag(*, flag_id: str, by: Viewer, on: date) -> Flag:
    """Somebody has looked. Seeing it twice changes nothing; the first to look is kept."""
    flag = _hold(by, flag_id)
    if flag.state == Flag.State.OPEN:
        flag.state, flag.seen_by, flag.seen_at = Flag.State.ACKNOWLEDGED, by.user, timezone.now()
        flag.save(update_fields=["state", "seen_by", "seen_at"])
        note_change(flag_change("see-flag", flag), by=by, on=on)
    return flag


@transaction.atomic
def close_flag(*, flag_id: str, why: str, by: Viewer, on: date) -> Flag:
    flag = _hold(by, flag_id)
    why = why.strip()
    if not 0 < len(why) <= LONGEST_WHY:
        raise Refused(_("Say in at most %(most)s characters what was found.") % {"most": LONGEST_WHY}, "why")
    if flag.state not in (Flag.State.OPEN, Flag.State.ACKNOWLEDGED):
        raise Refused(_("This flag has ended already."))
    flag.state, flag.ended_by, flag.ended_at, flag.ended_why = Flag.State.CLOSED, by.user, timezone.now(), why
    flag.save(update_fields=["state", "ended_by", "ended_at", "ended_why"])
    note_change(flag_change("close-flag", flag, why=why), by=by, on=on)
    return flag


def _hold(by: Viewer, flag_id: str) -> Flag:
    demand(by, "acknowledge-flags")
    rows = (
        scopes.flags(acting(by, "acknowledge-flags"))
        .select_for_update(of=("self",), no_key=True)
        .select_related("pupil", "skill")
    )
    flag = rows.filter(public_id=flag_id).first()
    if flag is None:
        raise OutOfScope
    return flag

"""What each role may do. One table; the pages and the actions both read it."""

from dataclasses import replace

from django.db.models import QuerySet

from tracker.access import scopes
from tracker.access.viewer import Viewer
from tracker.models import Check, Role

R = Role
MAY: dict[str, frozenset[str]] = {
    # reading
    "read-classes": frozenset({R.TEACHER, R.COORDINATOR, R.DEPUTY, R.HEAD}),
    "read-pupils": frozenset({R.TEACHER, R.ASSISTANT, R.PROVIDER, R.COORDINATOR, R.DEPUTY, R.HEAD}),
    "read-school": frozenset({R.COORDINATOR, R.DEPUTY, R.HEAD}),
    "read-own-groups": frozenset({R.ASSISTANT, R.PROVIDER}),
    "read-own-children": frozenset({R.PARENT}),
    "read-roster": frozenset({R.OFFICE, R.COORDINATOR, R.DEPUTY}),
    # writing
    "enter-scores": frozenset({R.TEACHER, R.COVER, R.ASSISTANT, R.PROVIDER}),
    "enter-as-cover": frozenset({R.COVER}),
    "see-history": frozenset({R.TEACHER, R.ASSISTANT, R.PROVIDER, R.COORDINATOR, R.DEPUTY, R.HEAD}),
    "plan-checks": frozenset({R.TEACHER}),
    "close-checks": frozenset({R.TEACHER, R.ASSISTANT, R.PROVIDER}),
    "correct-scores": frozenset({R.TEACHER, R.COORDINATOR, R.DEPUTY}),
    "acknowledge-flags": frozenset({R.TEACHER, R.COORDINATOR, R.DEPUTY}),
    "print-sheets": frozenset({R.TEACHER, R.ASSISTANT, R.PROVIDER, R.COORDINATOR, R.DEPUTY}),
    "manage-roster": frozenset({R.OFFICE}),
    "set-marks": frozenset({R.COORDINATOR, R.DEPUTY, R.OFFICE}),
    "load-data": frozenset({R.OFFICE, R.COORDINATOR}),
}


def may(viewer: Viewer, what: str) -> bool:
    return bool(viewer.roles & MAY[what])


def acting(viewer: Viewer, what: str) -> Viewer:
    """The viewer with only the roles that give this right: what somebody may read in one role, they must not change by
    the right of another."""
    return replace(viewer, roles=viewer.roles & MAY[what])


def sees_history(viewer: Viewer, check_sat: Check) -> bool:
    """Whether stages and earlier scores may be shown beside a check that is in the viewer's reach. Only a cover may
    reach a check without them, and a person who covers here may teach elsewhere: what counts is this check."""
    return may(viewer, "see-history") and _holds(viewer, scopes.checks(viewer), check_sat)


def may_close(viewer: Viewer, check_sat: Check) -> bool:
    """The same for closing: a coordinator who covers a class reads its records and still does not close its checks."""
    return may(viewer, "close-checks") and _holds(viewer, scopes.checks_to_close(viewer), check_sat)


def _holds(viewer: Viewer, rows: QuerySet[Check], check_sat: Check) -> bool:
    return not viewer.has(Role.COVER) or rows.filter(pk=check_sat.pk).exists()

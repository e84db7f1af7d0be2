"""What each role may do. One table; the pages and the actions both read it."""

from tracker.access.viewer import Viewer
from tracker.models import Role

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

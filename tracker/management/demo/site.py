"""The school that is being built, and who acts in it on which day."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time

from tracker.access.viewer import Viewer, viewer_for
from tracker.management.demo.calendar import Calendar
from tracker.management.demo.fixtures import Cast
from tracker.models import ClassGroup, Pupil, Role, School, User

Say = Callable[[str], object]


@dataclass(frozen=True)
class Site:
    school: School
    year_id: str
    calendar: Calendar
    cast: Cast
    users: dict[str, User]  # by sign-in name

    def viewer(self, username: str, day: date) -> Viewer:
        """As this person was on that day."""
        found = viewer_for(self.users[username], now=datetime.combine(day, time(15), tzinfo=UTC))
        if found is None:
            raise LookupError(f"{username} has no role on {day}.")
        return found

    def teacher_of(self, class_name: str) -> str:
        return next(one.username for one in self.cast.with_role("teacher") if one.class_name == class_name)

    def classes(self) -> dict[str, ClassGroup]:
        return {group.name: group for group in ClassGroup.objects.filter(school=self.school)}

    def pupils(self) -> dict[str, Pupil]:
        return {pupil.school_ref: pupil for pupil in Pupil.objects.filter(school=self.school)}


def whole_school_viewer(day: date) -> Viewer:
    """Who reads the whole demo school, for what is printed."""
    user = User.objects.get(memberships__school__is_demo=True, memberships__role=Role.HEAD)
    found = viewer_for(user, now=datetime.combine(day, time(15), tzinfo=UTC))
    if found is None:
        raise LookupError(f"Nobody read the whole school on {day}.")
    return found

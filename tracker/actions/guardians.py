"""Links between family members and children."""

from datetime import date

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.people import add_person
from tracker.actions.reach import demand, hold_school, reach, written
from tracker.actions.record import Change, note_change
from tracker.actions.roles import hold_role, members
from tracker.models import Guardian, Membership, Pupil, Role, User

RIGHTS = ("manage-roster", "load-data")


@transaction.atomic
def link_guardian(
    *,
    user_id: str,
    pupil_id: str,
    starts: date,
    by: Viewer,
    on: date,
    form_of_address: str = "",
    digits: str = "",
    channel: str = "paper",
    language: str = "",
) -> Guardian:
    """The role of a parent comes with the first child."""
    demand(by, *RIGHTS)
    school = hold_school(by)
    pupil, user = reach(school.pupils.all(), pupil_id), reach(members(school), user_id)
    _refuse_linked(user, pupil, starts)
    if not _parent_roles(user, by).filter(ends=None, starts__lte=starts).exists():
        hold_role(user, Role.PARENT, starts, by=by, on=on)
    row = Guardian.objects.create(
        school=school,
        user=user,
        pupil=pupil,
        starts=starts,
        form_of_address=form_of_address,
        digits=digits,
        channel=channel,
        language=language,
    )
    after = {"user": user.public_id, "starts": starts.isoformat()}
    note_change(Change("link-guardian", "guardian", row.public_id, pupil.public_id, after=after), by=by, on=on)
    return row


@transaction.atomic
def add_guardian(
    *, name: str, starts: date, by: Viewer, on: date, username: str = "", email: str = "", **link: str
) -> Guardian:
    """A family member who has no account yet; `link` is what link_guardian asks for besides."""
    user = add_person(username=username, name=name, email=email, role=Role.PARENT, starts=starts, by=by, on=on)
    return link_guardian(user_id=user.public_id, starts=starts, by=by, on=on, **link)


def _refuse_linked(user: User, pupil: Pupil, starts: date) -> None:
    for held in Guardian.objects.filter(user=user, pupil=pupil):
        if held.ends is None or held.ends >= starts:
            raise Refused(
                _("This person is already linked to the child from %(day)s.") % {"day": written(held.starts)}, "user_id"
            )


def _parent_roles(user: User, by: Viewer) -> QuerySet[Membership]:
    return Membership.objects.filter(user=user, school=by.school, role=Role.PARENT)


@transaction.atomic
def end_guardian(*, guardian_id: str, ends: date, by: Viewer, on: date) -> Guardian:
    """With the last child the role of a parent ends too."""
    demand(by, *RIGHTS)
    school = hold_school(by)
    row = reach(Guardian.objects.filter(school=school).select_related("user", "pupil"), guardian_id)
    if ends < row.starts:
        raise Refused(_("It began on %(day)s and can't end before that.") % {"day": written(row.starts)}, "ends")
    before = {"ends": row.ends.isoformat() if row.ends else None}
    row.ends = ends
    row.save(update_fields=["ends"])
    after = {"ends": ends.isoformat()}
    change = Change("end-guardian", "guardian", row.public_id, row.pupil.public_id, before=before, after=after)
    note_change(change, by=by, on=on)
    _end_parent_role(row, by=by, on=on)
    return row


def _end_parent_role(link: Guardian, *, by: Viewer, on: date) -> None:
    others = Guardian.objects.filter(user=link.user, school=by.school).exclude(ends__lte=link.ends)
    if others.exists():
        return
    for role in _parent_roles(link.user, by).filter(ends=None, starts__lte=link.ends):
        role.ends = link.ends
        role.save(update_fields=["ends"])
        after = {"ends": link.ends.isoformat()} if link.ends else None
        note_change(Change("end-role", "role", role.public_id, before={"ends": None}, after=after), by=by, on=on)

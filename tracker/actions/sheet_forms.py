"""Makes a further form of a skill's sheet when a teacher asks for one."""

from datetime import date

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _

from tracker.access.viewer import Viewer
from tracker.actions.errors import Refused
from tracker.actions.reach import demand
from tracker.actions.record import Change, note_change
from tracker.actions.sheets import FORMS, sheet_for
from tracker.models import School, Sheet, Skill


@transaction.atomic
def make_form(*, skill_key: str, by: Viewer, on: date) -> Sheet:
    """The next form after those the school has; refused when all of them are made."""
    demand(by, "plan-checks")
    # Held, so that two teachers asking at once get two forms.
    school = School.objects.select_for_update().get(pk=by.school.pk)
    skill = Skill.objects.filter(key=skill_key, in_use=True).first()
    if skill is None or skill_key in school.skills_off:
        raise Refused(_("This school does not use that skill."), "skill")
    last = Sheet.objects.filter(school=school, skill=skill).aggregate(last=Max("form"))["last"] or 0
    if last >= FORMS:
        raise Refused(_("All %(count)s forms of this sheet are made already.") % {"count": FORMS}, "skill")
    sheet = sheet_for(school=school, skill_key=skill_key, form=last + 1, at=timezone.now())
    note_change(Change("make-sheet", "sheet", sheet.public_id, after={"code": sheet.code}), by=by, on=on)
    return sheet

"""What a school has, read once, to match the rows of a file against."""

from collections.abc import Iterable
from datetime import date

from django.utils.translation import gettext as _

from tracker.actions.imports.faults import BadCell, shown
from tracker.measures import ladder
from tracker.models import Enrolment, Pupil, School, SchoolYear, Sheet, Skill
from tracker.progress.vocabulary import skill_label
from tracker.queries.names import fold


class SchoolIndex:
    def __init__(self, school: School) -> None:
        self.school = school
        pupils = list(Pupil.objects.filter(school=school))
        self.by_ref = {pupil.school_ref.casefold(): pupil for pupil in pupils}
        self.by_name: dict[str, list[Pupil]] = {}
        for pupil in pupils:
            for name in both_orders(pupil):
                self.by_name.setdefault(name, []).append(pupil)
        self.skills = _skills(school)
        self.sheets = {sheet.code.casefold(): sheet for sheet in Sheet.objects.filter(school=school)}
        self.years = list(SchoolYear.objects.filter(school=school))
        self.enrolments: dict[int, list[Enrolment]] = {}
        for place in Enrolment.objects.filter(school=school).select_related("class_group").order_by("starts"):
            self.enrolments.setdefault(place.pupil_id, []).append(place)

    def pupil_by_ref(self, reference: str) -> Pupil:
        pupil = self.by_ref.get(reference.casefold())
        if pupil is None:
            raise BadCell(_("No pupil of this school has the reference “%(text)s”.") % {"text": shown(reference)})
        return pupil

    def pupil_by_name(self, name: str, class_name: str, on: date) -> Pupil:
        found = self.by_name.get(fold(name), [])
        if len(found) > 1 and class_name:
            found = [pupil for pupil in found if self._is_in(pupil, class_name, on)] or found
        if not found:
            raise BadCell(_("No pupil of this school is called “%(text)s”.") % {"text": shown(name)})
        if len(found) > 1:
            raise BadCell(
                _("%(count)s pupils are called “%(text)s”. Add a column with the school reference.")
                % {"count": len(found), "text": shown(name)}
            )
        return found[0]

    def _is_in(self, pupil: Pupil, class_name: str, on: date) -> bool:
        place = self.place(pupil, on)
        return place is not None and fold(place.class_group.name) == fold(class_name)

    def place(self, pupil: Pupil, on: date) -> Enrolment | None:
        return place_on(self.enrolments.get(pupil.pk, ()), on)

    def year(self, on: date) -> SchoolYear | None:
        return next((year for year in self.years if year.starts <= on <= year.ends), None)

    def skill(self, text: str) -> Skill:
        skill = self.skills.get(fold(text))
        if skill is None:
            raise BadCell(
                _("This school has no skill “%(text)s”. Use a name or key of the ladder, such as “%(example)s”.")
                % {"text": shown(text), "example": ladder.steps()[0].key}
            )
        return skill

    def is_off(self, skill: Skill) -> bool:
        return not skill.in_use or skill.key in self.school.skills_off

    def sheet(self, text: str, skill: Skill | None) -> Sheet:
        sheet = self.sheets.get(text.casefold())
        if sheet is None:
            raise BadCell(_("This school has no sheet with the code “%(text)s”.") % {"text": shown(text)})
        if skill is not None and sheet.skill_id not in (None, skill.pk):
            raise BadCell(_("Sheet %(code)s is for another skill.") % {"code": sheet.code})
        return sheet


def both_orders(pupil: Pupil) -> set[str]:
    """Given name first and family name first, as they are compared."""
    names = (pupil.given_name, pupil.family_name)
    return {fold(" ".join(names)), fold(" ".join(reversed(names)))}


def place_on(places: Iterable[Enrolment], on: date) -> Enrolment | None:
    return next((place for place in places if place.starts <= on and (place.ends is None or place.ends >= on)), None)


def _skills(school: School) -> dict[str, Skill]:
    """Skills by key, by the school's own label and by ours."""
    found: dict[str, Skill] = {}
    for skill in Skill.objects.all():
        step = ladder.step(skill.key)
        for name in (skill.key, skill_label(skill.key, school), ladder.fill(step.label)):
            found[fold(name)] = skill
    return found

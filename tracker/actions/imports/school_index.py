"""What a school has, read once, to match the rows of a file against."""

from datetime import date

from django.utils.translation import gettext as _

from tracker.actions.imports.columns import plain
from tracker.actions.imports.faults import BadCell
from tracker.measures import ladder
from tracker.models import Enrolment, Pupil, School, SchoolYear, Sheet, Skill
from tracker.progress.vocabulary import skill_label


class SchoolIndex:
    def __init__(self, school: School) -> None:
        self.school = school
        self.pupils = list(Pupil.objects.filter(school=school))
        self.by_ref = {pupil.school_ref.casefold(): pupil for pupil in self.pupils}
        self.by_name: dict[str, list[Pupil]] = {}
        for pupil in self.pupils:
            for name in (f"{pupil.given_name} {pupil.family_name}", f"{pupil.family_name} {pupil.given_name}"):
                self.by_name.setdefault(plain(name), []).append(pupil)
        self.skills = _skills(school)
        self.sheets = {sheet.code.casefold(): sheet for sheet in Sheet.objects.filter(school=school)}
        self.years = list(SchoolYear.objects.filter(school=school))
        self.enrolments: dict[int, list[Enrolment]] = {}
        for place in Enrolment.objects.filter(school=school).select_related("class_group"):
            self.enrolments.setdefault(place.pupil_id, []).append(place)

    def pupil_by_ref(self, reference: str) -> Pupil:
        pupil = self.by_ref.get(reference.casefold())
        if pupil is None:
            raise BadCell(_("No pupil of this school has the reference “%(text)s”.") % {"text": reference})
        return pupil

    def pupil_by_name(self, name: str, class_name: str, on: date) -> Pupil:
        found = list(dict.fromkeys(self.by_name.get(plain(name), [])))
        if len(found) > 1 and class_name:
            found = [pupil for pupil in found if self._is_in(pupil, class_name, on)]
        if not found:
            raise BadCell(_("No pupil of this school is called “%(text)s”.") % {"text": name})
        if len(found) > 1:
            raise BadCell(
                _("%(count)s pupils are called “%(text)s”. Add a column with the school reference.")
                % {"count": len(found), "text": name}
            )
        return found[0]

    def _is_in(self, pupil: Pupil, class_name: str, on: date) -> bool:
        place = self.place(pupil, on)
        return place is not None and plain(place.class_group.name) == plain(class_name)

    def place(self, pupil: Pupil, on: date) -> Enrolment | None:
        for place in self.enrolments.get(pupil.pk, []):
            if place.starts <= on and (place.ends is None or place.ends >= on):
                return place
        return None

    def year(self, on: date) -> SchoolYear | None:
        return next((year for year in self.years if year.starts <= on <= year.ends), None)

    def skill(self, text: str) -> Skill:
        skill = self.skills.get(plain(text))
        if skill is None:
            raise BadCell(
                _("This school has no skill “%(text)s”. Use a name or key of the ladder, such as “%(example)s”.")
                % {"text": text, "example": ladder.steps()[0].key}
            )
        return skill

    def sheet(self, text: str) -> Sheet:
        sheet = self.sheets.get(text.casefold())
        if sheet is None:
            raise BadCell(_("This school has no sheet with the code “%(text)s”.") % {"text": text})
        return sheet


def _skills(school: School) -> dict[str, Skill]:
    """Skills by key, by the school's own label and by ours."""
    found: dict[str, Skill] = {}
    for skill in Skill.objects.filter(in_use=True).exclude(key__in=school.skills_off):
        step = ladder.step(skill.key)
        for name in (skill.key, skill_label(skill.key, school), ladder.fill(step.label)):
            found[plain(name)] = skill
    return found

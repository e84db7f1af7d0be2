"""Which small forms each set-up page holds, and what each of them does."""

from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from tracker.actions.accounts import make_code
from tracker.actions.erasure import erase_pupil
from tracker.actions.factors import reset_factor
from tracker.actions.guardians import add_guardian, end_guardian, link_guardian
from tracker.actions.marks import set_mark
from tracker.actions.people import add_person, change_person, close_account, open_account
from tracker.actions.roles import end_class, end_role, give_class, give_cover, give_role
from tracker.actions.rosters import (
    add_class,
    add_pupil,
    change_pupil,
    correct_enrolment,
    move_pupil,
    pupil_left,
    remove_class,
    rename_class,
)
from tracker.actions.schools import change_school, set_rules, set_skills_off
from tracker.actions.years import (
    add_break,
    add_term,
    add_year,
    change_break,
    change_term,
    change_year,
    remove_break,
    remove_term,
    remove_year,
)
from tracker.measures import ladder
from tracker.progress.rules import rules_of
from tracker.progress.vocabulary import school_words, skill_label
from tracker.queries import people, roster
from tracker.web.forms.people import (
    AccountForm,
    CoverForm,
    EndForm,
    FactorForm,
    GiveClassForm,
    LinkForm,
    NewGuardianForm,
    NewPersonForm,
    RoleForm,
)
from tracker.web.forms.roster import (
    BareForm,
    ClassForm,
    CorrectForm,
    DetailsForm,
    EraseForm,
    LeftForm,
    NewClassForm,
    NewPupilForm,
    PlaceForm,
    StretchForm,
)
from tracker.web.forms.rules import RulesForm
from tracker.web.forms.school import MarkForm, PupilMarkForm, SchoolForm, SkillsForm, YearMarkForm
from tracker.web.page_forms import Deed, PageForms
from tracker.web.permissions import ViewerRequest

OFFICE, MARKS = "manage-roster", "set-marks"


def _values(row: Any, *names: str) -> dict[str, Any]:
    return {name: getattr(row, name) for name in names}


def _stretch(row: Any) -> dict[str, Any]:
    return {"initial": _values(row, "name", "starts", "ends")}


def years_page(request: ViewerRequest) -> PageForms:
    forms = PageForms(request, OFFICE)
    forms.add("add-year", StretchForm, Deed(add_year, _("The year is there. Add its terms and breaks next.")))
    return forms


def year_page(request: ViewerRequest, year: Any) -> PageForms:
    forms, fixed = PageForms(request, OFFICE), {"year_id": year.public_id}
    forms.add("change-year", StretchForm, Deed(change_year, _("The year was changed.")), fixed=fixed, **_stretch(year))
    gone = Deed(remove_year, _("The year was removed."), to=reverse("roster-years"), bare=True)
    forms.add("remove-year", BareForm, gone, fixed=fixed)
    forms.add("add-term", StretchForm, Deed(add_term, _("The term was added.")), fixed=fixed)
    forms.add("add-break", StretchForm, Deed(add_break, _("The break was added.")), fixed=fixed)
    forms.rows["terms"] = forms.each(
        year.terms.all(),
        StretchForm,
        {
            "change-term": Deed(change_term, _("The term was changed.")),
            "remove-term": Deed(remove_term, _("The term was removed."), bare=True),
        },
        key="term_id",
        options=_stretch,
    )
    forms.rows["breaks"] = forms.each(
        year.breaks.all(),
        StretchForm,
        {
            "change-break": Deed(change_break, _("The break was changed.")),
            "remove-break": Deed(remove_break, _("The break was removed."), bare=True),
        },
        key="break_id",
        options=_stretch,
    )
    return forms


def classes_page(request: ViewerRequest, year: Any) -> PageForms:
    forms = PageForms(request, OFFICE)
    lasting = [row for row in roster.years(request.viewer) if row.ends >= request.viewer.today]
    options: dict[str, Any] = {
        "years": [(row.public_id, row.name) for row in lasting],
        "initial": {"year_id": year.public_id if year else ""},
    }
    forms.add("add-class", NewClassForm, Deed(add_class, _("The class was added.")), **options)
    return forms


def _first_day(group: Any, today: Any) -> Any:
    """Today inside the year, else the day of the year nearest to it."""
    return min(max(today, group.year.starts), group.year.ends)


def _as_before(request: ViewerRequest, group: Any = None) -> dict[str, Any]:
    """Class, grade and day of the pupil entered last, when several are entered one after another."""
    last = roster.newest_place(request.viewer, group) if request.GET.get("again") else None
    return {"class_id": last.class_group.public_id, "grade": last.grade, "starts": last.starts} if last else {}


def _next_name(forms: PageForms) -> None:
    """The hands stay on the keyboard from one pupil to the next."""
    if forms.request.GET.get("again") == "add-pupil":
        forms.shown["add_pupil"].fields["given_name"].widget.attrs["autofocus"] = True


def group_page(request: ViewerRequest, group: Any) -> PageForms:
    forms, viewer, fixed = PageForms(request, OFFICE), request.viewer, {"class_id": group.public_id}
    day = _first_day(group, viewer.today)
    renamed = Deed(rename_class, _("The class was renamed."))
    forms.add("rename-class", ClassForm, renamed, fixed=fixed, initial={"name": group.name})
    gone = Deed(remove_class, _("The class was removed."), to=reverse("roster-classes"), bare=True)
    forms.add("remove-class", BareForm, gone, fixed=fixed)
    teachers = people.choices(viewer, "teacher")
    given = Deed(give_class, _("The class was given."))
    forms.add("give-class", GiveClassForm, given, fixed=fixed, people=teachers, initial={"starts": day})
    cover = Deed(give_cover, _("The cover was given. It ends by itself."))
    forms.add(
        "give-cover", CoverForm, cover, fixed=fixed, people=people.staff_choices(viewer), initial={"day": viewer.today}
    )
    forms.add(
        "add-pupil",
        NewPupilForm,
        Deed(add_pupil, _("The pupil was added."), again=True),
        grade_word=school_words(viewer.school)["grade"],
        classes=[(group.public_id, group.name)],
        initial={"starts": day, **_as_before(request, group), "class_id": group.public_id},
    )
    _next_name(forms)
    forms.rows["teachings"] = forms.each(
        roster.teachings(viewer, group),
        EndForm,
        {"end-class": Deed(end_class, _("It ends on that day."))},
        key="teaching_id",
        options=lambda row: {"initial": {"ends": row.ends or viewer.today}},
    )
    return forms


def pupils_page(request: ViewerRequest) -> PageForms:
    forms, viewer = PageForms(request, OFFICE), request.viewer
    forms.add(
        "add-pupil",
        NewPupilForm,
        Deed(add_pupil, _("The pupil was added."), again=True),
        grade_word=school_words(viewer.school)["grade"],
        classes=roster.class_choices(viewer),
        initial={"starts": viewer.today, **_as_before(request)},
    )
    _next_name(forms)
    return forms


def pupil_page(request: ViewerRequest, pupil: Any) -> PageForms:
    forms, viewer, fixed = PageForms(request, OFFICE), request.viewer, {"pupil_id": pupil.public_id}
    changed = Deed(change_pupil, _("The pupil’s details were changed."))
    forms.add("change-pupil", DetailsForm, changed, fixed=fixed, initial=_values(pupil, *DetailsForm.base_fields))
    forms.add(
        "move-pupil",
        PlaceForm,
        Deed(move_pupil, _("The pupil was moved.")),
        fixed=fixed,
        grade_word=school_words(viewer.school)["grade"],
        classes=roster.class_choices(viewer),
        initial={"grade": pupil.grade, "starts": viewer.today},
    )
    left = Deed(pupil_left, _("The pupil leaves on that day. The records stay."))
    forms.add("pupil-left", LeftForm, left, fixed=fixed, initial={"left_on": pupil.left_on or viewer.today})
    forms.rows["enrolments"] = forms.each(
        roster.enrolments(viewer, pupil),
        CorrectForm,
        {"correct-enrolment": Deed(correct_enrolment, _("The entry was corrected."))},
        key="enrolment_id",
        options=lambda row: {
            "grade_word": school_words(viewer.school)["grade"],
            "initial": _values(row, "grade", "starts"),
        },
    )
    return forms


def family_part(forms: PageForms, pupil: Any) -> None:
    """The part of the pupil's page that links family members."""
    viewer, fixed = forms.request.viewer, {"pupil_id": pupil.public_id}
    today: dict[str, Any] = {"initial": {"starts": viewer.today, "channel": "paper"}}
    linked = Deed(link_guardian, _("The family member was linked."))
    forms.add("link-guardian", LinkForm, linked, fixed=fixed, people=people.choices(viewer, "parent"), **today)
    added = Deed(add_guardian, _("The family member was added. Make a code on their page to let them in."))
    forms.add("add-guardian", NewGuardianForm, added, fixed=fixed, **today)
    forms.rows["guardians"] = forms.each(
        roster.guardians(viewer, pupil),
        EndForm,
        {"end-guardian": Deed(end_guardian, _("The link ends on that day."))},
        key="guardian_id",
        options=lambda row: {"initial": {"ends": row.ends or viewer.today}},
    )


def erase_page(request: ViewerRequest, pupil: Any) -> PageForms:
    forms = PageForms(request, OFFICE)
    erased = Deed(erase_pupil, _("The pupil and all records were erased."), to=reverse("roster-pupils"))
    forms.add("erase-pupil", EraseForm, erased, fixed={"pupil_id": pupil.public_id}, school_ref=pupil.school_ref)
    return forms


def people_page(request: ViewerRequest) -> PageForms:
    forms = PageForms(request, OFFICE)
    added = Deed(add_person, _("The person was added. Make a code on their page to let them in."))
    forms.add("add-person", NewPersonForm, added, initial={"starts": request.viewer.today})
    return forms


def person_page(request: ViewerRequest, person: Any) -> PageForms:
    forms, viewer, fixed = PageForms(request, OFFICE), request.viewer, {"user_id": person.public_id}
    forms.add(
        "change-person",
        AccountForm,
        Deed(change_person, _("The account was changed.")),
        fixed=fixed,
        initial=_values(person, *AccountForm.base_fields),
    )
    forms.add(
        "give-role", RoleForm, Deed(give_role, _("The role was given.")), fixed=fixed, initial={"starts": viewer.today}
    )
    forms.add("make-code", BareForm, Deed(make_code, bare=True, stay=True), fixed=fixed)
    closed = Deed(close_account, _("The account is closed. Nobody can sign in with it."), bare=True)
    forms.add("close-account", BareForm, closed, fixed=fixed)
    forms.add("open-account", BareForm, Deed(open_account, _("The account is open again."), bare=True), fixed=fixed)
    reset = Deed(reset_factor, _("The second factor was reset. The next sign-in asks for a new one."))
    forms.add("reset-factor", FactorForm, reset, fixed=fixed)
    forms.rows["roles"] = forms.each(
        people.roles(viewer, person),
        EndForm,
        {"end-role": Deed(end_role, _("The role ends on that day."))},
        key="membership_id",
        options=lambda row: {"initial": {"ends": row.ends or viewer.today}},
    )
    return forms


def mark_page(request: ViewerRequest, step: Any) -> PageForms:
    forms, viewer = PageForms(request, MARKS), request.viewer
    default = step.default_accuracy or 0.95
    forms.add(
        "set-mark",
        YearMarkForm if step.kind == "year" else MarkForm,
        Deed(set_mark, _("The mark is set. Marks that were reached before stay as they are.")),
        fixed={"skill_key": step.key},
        grade_word=school_words(viewer.school)["grade"],
        initial={"valid_from": viewer.today, "accuracy": round(default * 100, 1), "rate": step.default_mark_rate},
    )
    return forms


def own_mark_part(forms: PageForms, pupil: Any) -> None:
    """The part of the pupil's page for a mark of their own, open to those who set marks."""
    viewer = forms.request.viewer
    steps = [step for step in ladder.steps() if step.kind != "copying"]
    forms.add(
        "set-own-mark",
        PupilMarkForm,
        Deed(set_mark, _("The mark for this pupil is set.")),
        right=MARKS,
        fixed={"pupil_id": pupil.public_id, "source": _("set for this pupil")},
        skills=[(step.key, skill_label(step.key, viewer.school)) for step in steps],
        initial={"valid_from": viewer.today, "accuracy": 95},
    )


def school_page(request: ViewerRequest) -> PageForms:
    forms, school = PageForms(request, OFFICE), request.viewer.school
    names = ("name", "timezone", "language", "week_start", "date_order", "typing")
    initial = {**_values(school, *names), **school.words}
    forms.add("change-school", SchoolForm, Deed(change_school, _("The settings were changed.")), initial=initial)
    skills = [(step.key, skill_label(step.key, school)) for step in ladder.steps()]
    kept = Deed(set_skills_off, _("The list of skills was changed."))
    forms.add("set-skills", SkillsForm, kept, skills=skills, initial={"skills_off": school.skills_off})
    return forms


def rules_page(request: ViewerRequest) -> PageForms:
    forms, school = PageForms(request, MARKS), request.viewer.school
    done = Deed(set_rules, _("The settings were changed. Stages follow when they are next worked out."))
    forms.add("set-rules", RulesForm, done, rules=rules_of(school).as_mapping())
    back = Deed(lambda **who: set_rules(rules={}, **who), _("All settings are as they came."), bare=True)
    forms.add("reset-rules", BareForm, back)
    return forms

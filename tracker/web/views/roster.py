"""The school's set-up: years, classes, pupils, people, marks and settings."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe
from django_tables2 import RequestConfig

from tracker.progress.vocabulary import school_words, skill_label
from tracker.queries import marks as kept_marks
from tracker.queries import people as everybody
from tracker.queries import roster
from tracker.web import roster_pages as pages
from tracker.web.forms.roster import FindForm
from tracker.web.permissions import ViewerRequest, needs
from tracker.web.roster_groups import helping_part
from tracker.web.tables.roster import PeopleTable, PupilTable

A_PAGE = 50
READ_OR_SEND = require_http_methods(["GET", "HEAD", "POST"])


def _asked(request: ViewerRequest, name: str) -> str:
    """A public id in the address; PostgreSQL can't even look for a NUL."""
    return request.GET.get(name, "").replace("\0", "")


def _paged(request: ViewerRequest, table: Any) -> Any:
    """In the order and at the page that was asked for; how long a page is, no address says."""
    RequestConfig(request, paginate=False).configure(table)
    table.paginate(per_page=A_PAGE)
    table.page = table.paginator.get_page(request.GET.get("page"))
    return table


@require_safe
@needs("read-roster")
def overview(request: ViewerRequest) -> HttpResponse:
    return render(request, "roster/overview.html", {"there": roster.overview(request.viewer)})


@READ_OR_SEND
@needs("read-roster")
def years(request: ViewerRequest) -> HttpResponse:
    forms = pages.years_page(request)
    return forms.answer("roster/years.html", {"years": roster.years(request.viewer)}, to=reverse("roster-years"))


@READ_OR_SEND
@needs("read-roster")
def year(request: ViewerRequest, year_id: str) -> HttpResponse:
    shown = roster.year(request.viewer, year_id)
    forms = pages.year_page(request, shown)
    return forms.answer("roster/year.html", {"year": shown}, to=request.path)


@READ_OR_SEND
@needs("read-roster")
def classes(request: ViewerRequest) -> HttpResponse:
    viewer = request.viewer
    asked = _asked(request, "year")
    year = roster.year(viewer, asked) if asked else roster.year_now(viewer)
    forms = pages.classes_page(request, year)
    context = {"year": year, "years": roster.years(viewer), "groups": roster.classes(viewer, year)}
    return forms.answer("roster/classes.html", context, to=request.get_full_path())


@READ_OR_SEND
@needs("read-roster")
def group(request: ViewerRequest, class_id: str) -> HttpResponse:
    viewer = request.viewer
    shown = roster.class_group(viewer, class_id)
    forms = pages.group_page(request, shown)
    places = roster.places(viewer, shown)
    staying = roster.still(places, viewer.today)
    context = {
        "group": shown,
        "places": staying,
        "gone": [place for place in places if place not in staying],
        "grade_word": school_words(viewer.school)["grade"],
    }
    return forms.answer("roster/group.html", context, to=request.path)


@READ_OR_SEND
@needs("read-roster")
def pupils(request: ViewerRequest) -> HttpResponse:
    viewer, show = request.viewer, request.GET.get("show", "here")
    find = FindForm(request.POST if request.POST.get("do") == "find" else None, prefix="find")
    class_id = _asked(request, "class")
    context: dict[str, Any] = {"find": find, "show": show, "class_id": class_id}
    if find.is_bound:
        return _found(request, find, context)
    rows = roster.pupils(viewer, show=show, class_id=class_id)
    context["table"] = _paged(request, PupilTable(rows, grade_word=school_words(viewer.school)["grade"]))
    return pages.pupils_page(request).answer("roster/pupils.html", context, to=request.path)


def _found(request: ViewerRequest, find: FindForm, context: dict[str, Any]) -> HttpResponse:
    """Words sent by POST are never put into an address: names stay out of logs and histories."""
    if find.is_valid():
        context["found"] = roster.find_pupils(request.viewer, find.cleaned_data["words"])
    return render(request, "roster/pupils.html", context, status=200 if find.is_valid() else 422)


@READ_OR_SEND
@needs("read-roster")
def pupil(request: ViewerRequest, pupil_id: str) -> HttpResponse:
    viewer = request.viewer
    shown = roster.pupil(viewer, pupil_id)
    forms = pages.pupil_page(request, shown)
    pages.family_part(forms, shown)
    pages.own_mark_part(forms, shown)
    own = [(skill_label(mark.skill.key, viewer.school), mark) for mark in kept_marks.pupil_marks(viewer, shown)]
    context = {
        "pupil": shown,
        "own_marks": own,
        "may_mark": forms.may(pages.MARKS),
        "grade_word": school_words(viewer.school)["grade"],
    }
    return forms.answer("roster/pupil.html", context, to=request.path)


@READ_OR_SEND
@needs("manage-roster")
def erase(request: ViewerRequest, pupil_id: str) -> HttpResponse:
    shown = roster.pupil(request.viewer, pupil_id)
    return pages.erase_page(request, shown).answer("roster/erase.html", {"pupil": shown}, to=request.path)


@READ_OR_SEND
@needs("read-roster")
def people(request: ViewerRequest) -> HttpResponse:
    kind = request.GET.get("kind", "")
    table = _paged(request, PeopleTable(everybody.people(request.viewer, kind=kind if kind in everybody.KINDS else "")))
    forms = pages.people_page(request)
    return forms.answer("roster/people.html", {"table": table, "kind": kind}, to=request.get_full_path())


@READ_OR_SEND
@needs("read-roster")
def person(request: ViewerRequest, user_id: str) -> HttpResponse:
    viewer = request.viewer
    shown = everybody.person(viewer, user_id)
    forms = pages.person_page(request, shown)
    context = {
        "person": shown,
        "teachings": everybody.classes_of(viewer, shown),
        "children": everybody.children_of(viewer, shown),
        "is_self": shown.public_id == viewer.user.public_id,
        "has_factor": everybody.has_factor(viewer, shown),
        **helping_part(forms, shown),
    }
    return forms.answer("roster/person.html", context, to=request.path)


@require_safe
@needs("read-roster", "set-marks")
def marks(request: ViewerRequest) -> HttpResponse:
    viewer = request.viewer
    rows = [(skill_label(row.key, viewer.school), row) for row in kept_marks.school_marks(viewer)]
    return render(request, "roster/marks.html", {"rows": rows})


@READ_OR_SEND
@needs("read-roster", "set-marks")
def mark(request: ViewerRequest, skill_key: str) -> HttpResponse:
    viewer = request.viewer
    shown = kept_marks.skill_mark(viewer, skill_key)
    forms = pages.mark_page(request, shown.step)
    context = {
        "row": shown,
        "label": skill_label(shown.key, viewer.school),
        "grade_word": school_words(viewer.school)["grade"],
    }
    return forms.answer("roster/mark.html", context, to=reverse("roster-marks"))


@READ_OR_SEND
@needs("read-roster")
def school(request: ViewerRequest) -> HttpResponse:
    return pages.school_page(request).answer("roster/school.html", {"school": request.viewer.school}, to=request.path)


@READ_OR_SEND
@needs("read-roster", "set-marks")
def rules(request: ViewerRequest) -> HttpResponse:
    return pages.rules_page(request).answer("roster/rules.html", {}, to=request.path)

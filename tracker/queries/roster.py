"""The roster as the office keeps it: years, classes and pupils. No scores."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.http import Http404

from tracker.access import scopes
from tracker.access.permissions import may
from tracker.access.viewer import Viewer, current
from tracker.models import ClassGroup, Enrolment, Guardian, Membership, Pupil, Role, SchoolYear, Teaching
from tracker.queries.names import fold

# A search shows no more than this; whoever looks for one child types a little more.
FOUND = 60


@dataclass(frozen=True)
class Overview:
    """What is there, and what is missing before checks can be planned."""

    year: SchoolYear | None
    terms: int
    classes: int
    pupils: int
    without_class: int
    teachers: int
    without_teacher: tuple[ClassGroup, ...]

    @property
    def ready(self) -> bool:
        return bool(self.year and self.classes and self.pupils and self.teachers and not self.without_teacher)


def overview(viewer: Viewer) -> Overview:
    year = year_now(viewer)
    groups: list[Any] = list(classes(viewer, year))
    here = scopes.people(viewer).filter(_here(viewer.today))
    placed = Enrolment.objects.filter(Q(ends__isnull=True) | Q(ends__gte=viewer.today), school=viewer.school)
    teachers = Membership.objects.filter(current(viewer.today), school=viewer.school, role=Role.TEACHER)
    return Overview(
        year=year,
        terms=year.terms.count() if year else 0,
        classes=len(groups),
        pupils=here.count(),
        without_class=here.exclude(pk__in=placed.values("pupil")).count(),
        teachers=teachers.values("user").distinct().count(),
        without_teacher=tuple(group for group in groups if not group.taken_now),
    )


def _here(today: date) -> Q:
    return Q(left_on__isnull=True) | Q(left_on__gte=today)


def years(viewer: Viewer) -> QuerySet[SchoolYear]:
    rows = SchoolYear.objects.filter(school=viewer.school).order_by("-starts")
    rows = rows.annotate(number_of_classes=Count("class_groups"))
    return rows if may(viewer, "read-roster") else rows.none()


def year(viewer: Viewer, year_id: str) -> SchoolYear:
    row = years(viewer).prefetch_related("terms", "breaks").filter(public_id=year_id).first()
    if row is None:
        raise Http404
    return row


def year_now(viewer: Viewer) -> SchoolYear | None:
    """The year that runs, else the next one, else the last one that is over."""
    rows = sorted(years(viewer), key=lambda row: row.starts)
    return next((row for row in rows if row.ends >= viewer.today), rows[-1] if rows else None)


def classes(viewer: Viewer, year: SchoolYear | None) -> QuerySet[ClassGroup]:
    """With the number of pupils from today on, and who takes the class now or later."""
    today = viewer.today
    staying = Q(enrolments__ends__isnull=True) | Q(enrolments__ends__gte=today)
    rows = ClassGroup.objects.filter(school=viewer.school, year=year)
    rows = rows.annotate(number_of_pupils=Count("enrolments__pupil", filter=staying, distinct=True))
    takers = Teaching.objects.filter(Q(ends__isnull=True) | Q(ends__gte=today), cover=False).select_related("user")
    rows = rows.prefetch_related(Prefetch("teachings", takers.order_by("starts"), to_attr="taken_now")).order_by("name")
    return rows if may(viewer, "read-roster") else rows.none()


def class_group(viewer: Viewer, class_id: str) -> ClassGroup:
    rows = ClassGroup.objects.filter(school=viewer.school, public_id=class_id).select_related("year")
    row = rows.first() if may(viewer, "read-roster") else None
    if row is None:
        raise Http404
    return row


def places(viewer: Viewer, group: ClassGroup) -> list[Enrolment]:
    """Everybody who is, will be or was in the class, by name."""
    rows = Enrolment.objects.filter(class_group=group, pupil__in=scopes.people(viewer)).select_related("pupil")
    return list(rows.order_by("pupil__sort_name", "pupil__school_ref", "starts"))


def newest_place(viewer: Viewer, group: ClassGroup | None = None) -> Enrolment | None:
    """Where the pupil was put who was entered last: the next one mostly goes there too."""
    rows = Enrolment.objects.filter(school=viewer.school, pupil__in=scopes.people(viewer)).select_related("class_group")
    return (rows.filter(class_group=group) if group else rows).order_by("-id").first()


def teachings(viewer: Viewer, group: ClassGroup) -> list[Teaching]:
    rows = Teaching.objects.filter(school=viewer.school, class_group=group).select_related("user")
    return list(rows.order_by("-starts", "user__name"))


def class_choices(viewer: Viewer) -> list[tuple[str, str]]:
    """Classes of years that are not over, for a form."""
    rows = ClassGroup.objects.filter(school=viewer.school, year__ends__gte=viewer.today)
    rows = rows.select_related("year").order_by("year__starts", "name")
    return [(row.public_id, f"{row.name} ({row.year.name})") for row in rows]


def pupils(viewer: Viewer, *, show: str = "here", class_id: str = "") -> QuerySet[Pupil]:
    """With class and grade of today, or of the next enrolment. `show` is here, left or loose (without a class)."""
    rows = _with_place(scopes.people(viewer), viewer.today)
    if class_id:
        rows = rows.filter(place_id=class_id)
    if show == "left":
        return rows.exclude(_here(viewer.today))
    rows = rows.filter(_here(viewer.today))
    return rows.filter(place_id__isnull=True) if show == "loose" else rows


def _with_place(rows: QuerySet[Pupil], today: date) -> QuerySet[Any]:
    places = Enrolment.objects.filter(pupil=OuterRef("pk")).exclude(ends__lt=today).order_by("starts")
    return rows.annotate(
        place_id=Subquery(places.values("class_group__public_id")[:1]),
        place=Subquery(places.values("class_group__name")[:1]),
        grade=Subquery(places.values("grade")[:1]),
    ).order_by("sort_name", "school_ref")


def find_pupils(viewer: Viewer, words: str) -> list[Pupil]:
    """By school reference, or by the letters with which the parts of a name begin, in any order."""
    rows = _with_place(scopes.people(viewer), viewer.today)
    parts = fold(words).split()
    named = Q(pk__in=[])
    if parts:
        named = Q()
        for part in parts:
            named &= Q(sort_name__startswith=part) | Q(sort_name__contains=f" {part}")
    return list(rows.filter(named | Q(school_ref__iexact=words.strip()))[: FOUND + 1])


def pupil(viewer: Viewer, pupil_id: str) -> Pupil:
    row = _with_place(scopes.people(viewer), viewer.today).filter(public_id=pupil_id).first()
    if row is None:
        raise Http404
    return row


def pupil_choices(viewer: Viewer) -> list[tuple[str, str]]:
    """Everybody who is at the school, for a form, in the order of what is shown, so that typing letters finds it.

    The reference tells namesakes apart.
    """
    rows = scopes.people(viewer).filter(_here(viewer.today))
    shown = [(row.public_id, f"{row} ({row.school_ref})") for row in rows]
    return sorted(shown, key=lambda one: fold(one[1]))


def enrolments(viewer: Viewer, pupil: Pupil) -> list[Enrolment]:
    """Newest first."""
    rows = Enrolment.objects.filter(school=viewer.school, pupil=pupil).select_related("class_group__year")
    return list(rows.order_by("-starts", "-id"))


def guardians(viewer: Viewer, pupil: Pupil) -> list[Guardian]:
    rows = Guardian.objects.filter(school=viewer.school, pupil=pupil).select_related("user")
    return list(rows.order_by("starts", "user__name"))


def still(rows: Iterable[Enrolment], today: date) -> list[Enrolment]:
    return [row for row in rows if row.ends is None or row.ends >= today]

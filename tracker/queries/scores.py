"""What the score grid reads beside the rows themselves."""

from collections import defaultdict
from collections.abc import Collection

from django.http import Http404

from tracker.access import scopes
from tracker.access.viewer import Viewer
from tracker.models import Attempt, ChangeRecord, Check, Conflict, Standing, User
from tracker.queries import checks

Pair = tuple[int, int]  # pupil and skill, by primary key


def check_for_scores(viewer: Viewer, class_id: str, check_id: str) -> tuple[Check, bool]:
    """The check, and whether the viewer may type into it. Others who may read it see it too."""
    for rows, writes in ((scopes.checks_to_enter(viewer), True), (scopes.checks(viewer), False)):
        found = rows.filter(public_id=check_id, class_group__public_id=class_id).select_related("class_group").first()
        if found is not None:
            return found, writes
    raise Http404


def stages(viewer: Viewer, rows: Collection[Attempt]) -> dict[Pair, str]:
    """The stage of each row's pupil and skill. `rows` come from a scoped query, and so below."""
    found = Standing.objects.filter(
        school=viewer.school,
        pupil__in={row.pupil_id for row in rows},
        skill__in={row.skill_id for row in rows},
        is_current=True,
    )
    return {(pupil, skill): stage for pupil, skill, stage in found.values_list("pupil_id", "skill_id", "stage")}


def earlier(viewer: Viewer, check_sat: Check, rows: Collection[Attempt]) -> dict[Pair, list[Attempt]]:
    """What the same pupils sat on the same skills before."""
    found: dict[Pair, list[Attempt]] = defaultdict(list)
    sat = Attempt.objects.filter(
        school=viewer.school,
        pupil__in={row.pupil_id for row in rows},
        skill__in={row.skill_id for row in rows},
        status__in=["done", "stopped"],
    )
    for row in sat.exclude(check_sat=check_sat).order_by("taken_on", "pk"):
        found[row.pupil_id, row.skill_id].append(row)
    return found


def conflict(viewer: Viewer, conflict_id: str) -> Conflict:
    rows = scopes.conflicts(viewer).select_related("attempt", "kept_by", "lost_by")
    found = rows.filter(public_id=conflict_id).first()
    if found is None:
        raise Http404
    return found


def row(viewer: Viewer, check_sat: Check, attempt_id: str) -> Attempt:
    found = checks.rows(viewer, check_sat).filter(public_id=attempt_id).first()
    if found is None:
        raise Http404
    return found


def changes(viewer: Viewer, attempt: Attempt) -> list[tuple[ChangeRecord, str]]:
    """Every change of one row, oldest first, with the name of who made it."""
    found = list(
        ChangeRecord.objects.filter(
            school_key=viewer.school.pk, subject="attempt", subject_key=attempt.public_id, before__isnull=False
        )
    )
    people = User.objects.filter(pk__in={change.by_key for change in found if change.by_key})
    names = dict(people.values_list("pk", "name"))
    return [(change, names.get(change.by_key or 0, "")) for change in found]

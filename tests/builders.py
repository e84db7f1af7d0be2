"""Builds rows for tests: plain functions, each giving back what it made."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from itertools import count
from typing import Any

from django.test import Client

from tracker.access.viewer import Viewer, viewer_for
from tracker.models import (
    Attempt,
    Check,
    ClassGroup,
    Enrolment,
    Flag,
    Guardian,
    Membership,
    Pupil,
    School,
    SchoolYear,
    Sheet,
    Skill,
    Standing,
    Teaching,
    User,
)
from tracker.web import clock

TODAY = date(2026, 11, 20)
NOW = datetime(2026, 11, 20, 14, 0, tzinfo=UTC)
YEAR_STARTS = date(2026, 9, 7)
YEAR_ENDS = date(2027, 7, 2)
PASSWORD = "seven brown bricks"

_numbers = count(1)


def make_ladder() -> None:
    """Skill rows as sync_reference writes them."""
    if not Skill.objects.exists():
        from tracker.actions.reference import sync_reference

        sync_reference()


def skill(key: str) -> Skill:
    make_ladder()
    return Skill.objects.get(key=key)


def make_school(name: str = "Harbour Lane School", **fields: Any) -> School:
    make_ladder()
    school = School.objects.create(**{"name": name, "created_at": NOW, **fields})
    SchoolYear.objects.create(school=school, name="2026/27", starts=YEAR_STARTS, ends=YEAR_ENDS)
    return school


def year_of(school: School) -> SchoolYear:
    return school.years.get(name="2026/27")


def make_user(name: str = "Mira Solberg", **fields: Any) -> User:
    user = User(**{"username": f"user{next(_numbers)}", "name": name, "date_joined": NOW, **fields})
    user.set_password(PASSWORD)
    user.save()
    return user


def join(user: User, school: School, role: str, **fields: Any) -> Membership:
    dates = {"starts": TODAY, "ends": TODAY} if role == "cover" else {"starts": YEAR_STARTS}
    return Membership.objects.create(user=user, school=school, role=role, **{**dates, **fields})


def make_member(school: School, role: str, name: str = "Mira Solberg") -> User:
    user = make_user(name)
    join(user, school, role)
    return user


def make_class(school: School, name: str = "Heron", *, teacher: User | None = None) -> ClassGroup:
    class_group = ClassGroup.objects.create(school=school, year=year_of(school), name=name)
    if teacher is not None:
        give_class(teacher, class_group)
    return class_group


def give_class(user: User, class_group: ClassGroup, **fields: Any) -> Teaching:
    dates = {"starts": TODAY, "ends": TODAY} if fields.get("cover") else {"starts": YEAR_STARTS}
    return Teaching.objects.create(school=class_group.school, user=user, class_group=class_group, **{**dates, **fields})


def make_pupil(class_group: ClassGroup, given: str = "Anouk", family: str = "Verhaegen", **fields: Any) -> Pupil:
    grade = fields.pop("grade", 3)
    number = next(_numbers)
    values = {
        "school": class_group.school,
        "school_ref": f"P{number:05d}",
        "given_name": given,
        "family_name": family,
        "sort_name": f"{family} {given}".lower(),
        "joined_on": YEAR_STARTS,
        **fields,
    }
    pupil = Pupil.objects.create(**values)
    Enrolment.objects.create(
        school=class_group.school, pupil=pupil, class_group=class_group, grade=grade, starts=YEAR_STARTS
    )
    return pupil


def make_pupils(class_group: ClassGroup, number: int) -> list[Pupil]:
    return [make_pupil(class_group, f"Pupil{n:02d}", f"Name{n:02d}") for n in range(1, number + 1)]


def link_guardian(user: User, pupil: Pupil, **fields: Any) -> Guardian:
    return Guardian.objects.create(school=pupil.school, user=user, pupil=pupil, **{"starts": YEAR_STARTS, **fields})


def make_sheet(school: School, key: str = "sub-2d-regroup", *, form: int = 1, **fields: Any) -> Sheet:
    """A sheet row without items; actions.sheets.sheet_for makes real ones."""
    values = {
        "school": school,
        "kind": "timed",
        "skill": skill(key),
        "form": form,
        "code": f"T{next(_numbers)}",
        "seconds": 120,
        "digits_possible": 84,
        "generator": "test",
        "created_at": NOW,
        **fields,
    }
    return Sheet.objects.create(**values)


def make_check(class_group: ClassGroup, *, on: date = TODAY, **fields: Any) -> Check:
    values = {"school": class_group.school, "year": class_group.year, "class_group": class_group, "created_at": NOW}
    return Check.objects.create(**{**values, "on": on, **fields})


def make_attempt(check: Check, pupil: Pupil, key: str = "sub-2d-regroup", **fields: Any) -> Attempt:
    """An attempt still due; give `correct` (and `wrong`) for one that was done in two minutes."""
    if "correct" in fields:
        fields = {"status": "done", "wrong": 0, "omitted": 0, "seconds": 120, **fields}
    values = {
        "school": check.school,
        "check_sat": check,
        "pupil": pupil,
        "skill": skill(key),
        "class_group": check.class_group,
        "grade": 3,
        "taken_on": check.on,
        # As plan_check writes it: a row still due with seconds is a timed one.
        "seconds": 120,
        **fields,
    }
    return Attempt.objects.create(**values)


def make_history(
    pupil: Pupil, scores: Iterable[tuple[int, int]], key: str = "sub-2d-regroup", *, until: date = TODAY
) -> list[Attempt]:
    """Weekly closed checks with (correct, wrong), the last one a week before `until`."""
    class_group = pupil.enrolments.get().class_group
    pairs = list(scores)
    days = [until - timedelta(weeks=len(pairs) - n) for n in range(len(pairs))]
    made = []
    for on, (correct, wrong) in zip(days, pairs, strict=True):
        check = Check.objects.filter(class_group=class_group, on=on).first() or make_check(
            class_group, on=on, state="closed", closed_at=NOW
        )
        made.append(make_attempt(check, pupil, key, correct=correct, wrong=wrong))
    return made


def make_standing(pupil: Pupil, key: str = "sub-2d-regroup", stage: str = "quicker", **fields: Any) -> Standing:
    values = {
        "school": pupil.school,
        "pupil": pupil,
        "skill": skill(key),
        "is_current": True,
        "stage": stage,
        "checks": 4,
        "last_rate": 14.5,
        "last_accuracy": 0.95,
        "last_on": TODAY,
        "measures_version": "test",
        "updated_at": NOW,
        **fields,
    }
    return Standing.objects.create(**values)


def make_flag(pupil: Pupil, key: str = "sub-2d-regroup", kind: str = "regrouping-gap", **fields: Any) -> Flag:
    values = {
        "school": pupil.school,
        "pupil": pupil,
        "skill": skill(key),
        "kind": kind,
        "raised_on": TODAY,
        "raised_at": NOW,
        "evidence": {},
        "measures_version": "test",
        **fields,
    }
    return Flag.objects.create(**values)


def viewer(user: User, school: School | None = None, *, now: datetime = NOW) -> Viewer:
    found = viewer_for(user, now=now, school_id=school.public_id if school else "")
    assert found is not None, f"{user} has no role today"
    return found


def sign_in(client: Client, user: User) -> Client:
    """As if signed in a moment ago, with the second factor where one is asked for."""
    client.force_login(user, backend="allauth.account.auth_backends.AuthenticationBackend")
    session, now = client.session, int(clock.now().timestamp())
    session.update({"login_at": now, "seen_at": now, "factor": True})
    session.save()
    return client

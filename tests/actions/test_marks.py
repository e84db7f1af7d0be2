"""The school's own marks: set, never changed, and read at once."""

from datetime import date, timedelta

import pytest

from tests import builders
from tests.actions.roster_scene import office_of, refused
from tests.builders import TODAY
from tracker.actions.errors import OutOfScope
from tracker.actions.marks import set_mark
from tracker.models import ChangeRecord, Mark, Standing
from tracker.progress.rules import mark_for

pytestmark = pytest.mark.django_db
KEY = "sub-2d-regroup"
AGREED = {"skill_key": KEY, "accuracy": 0.925, "rate": 18.5, "source": "agreed by the teachers"}


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def who(school):
    return {"by": office_of(school), "on": TODAY}


@pytest.fixture
def pupil(school):
    return builders.make_pupil(builders.make_class(school))


def holds(pupil=None, grade=3, on=TODAY):
    skill = builders.skill(KEY)
    found = mark_for(
        Mark.objects.all(), skill_id=skill.pk, skill_key=KEY, pupil_id=pupil.pk if pupil else 0, grade=grade, on=on
    )
    return found.rate, found.accuracy


def test_set_mark_is_a_new_row_each_time(who):
    first = set_mark(**AGREED, valid_from=TODAY, **who)
    second = set_mark(**{**AGREED, "rate": 22}, valid_from=TODAY, **who)

    assert (first.version, second.version) == (1, 2)
    assert list(Mark.objects.order_by("version").values_list("rate", flat=True)) == [18.5, 22]
    assert ChangeRecord.objects.filter(action="set-mark").count() == 2


def test_set_mark_holds_from_its_day(who, pupil):
    set_mark(**AGREED, valid_from=TODAY, **who)

    assert holds(on=TODAY - timedelta(days=1)) == (20, 0.95)
    assert holds(on=TODAY) == (18.5, 0.925)


def test_set_mark_pupil_goes_before_grade_and_grade_before_skill(who, pupil):
    set_mark(**AGREED, valid_from=TODAY, **who)
    set_mark(**{**AGREED, "rate": 15}, grade=2, valid_from=TODAY, **who)
    set_mark(**{**AGREED, "rate": 12}, pupil_id=pupil.public_id, why="writes with a splint", valid_from=TODAY, **who)

    assert [holds(grade=3)[0], holds(grade=2)[0], holds(pupil)[0]] == [18.5, 15, 12]


def test_set_mark_for_one_pupil_says_why_and_whose(who, pupil):
    values = {**AGREED, "pupil_id": pupil.public_id, "valid_from": TODAY, **who}

    assert refused(set_mark, **values) == ("why", "Say why this pupil has a mark of their own.")
    mark = set_mark(**values, why="writes with a splint")
    assert (mark.set_by, ChangeRecord.objects.get().pupil_key) == (who["by"].user, pupil.public_id)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"skill_key": "no-such-skill"}, "skill_key"),
        ({"skill_key": "copying"}, "skill_key"),
        ({"accuracy": 0.49}, "accuracy"),
        ({"accuracy": 1.01}, "accuracy"),
        ({"rate": 0.5}, "rate"),
        ({"rate": 201}, "rate"),
        ({"rate": float("nan")}, "rate"),
        ({"rate": float("inf")}, "rate"),
    ],
)
def test_set_mark_refuses(who, changes, field):
    assert refused(set_mark, **{**AGREED, **changes}, valid_from=TODAY, **who)[0] == field
    assert Mark.objects.count() == 0


def test_set_mark_first_grade_sheet_is_set_by_the_school(who):
    assert set_mark(**{**AGREED, "skill_key": "year-1", "rate": 12}, valid_from=TODAY, **who).rate == 12


@pytest.mark.parametrize(("role", "may"), [("coordinator", True), ("deputy", True), ("teacher", False)])
def test_set_mark_by_role(school, role, may):
    viewer = builders.viewer(builders.make_member(school, role), school)
    if may:
        set_mark(**AGREED, valid_from=TODAY, by=viewer, on=TODAY)
    else:
        with pytest.raises(OutOfScope):
            set_mark(**AGREED, valid_from=TODAY, by=viewer, on=TODAY)

    assert Mark.objects.exists() is may


def test_set_mark_reads_standings_against_it_at_once(who, pupil):
    builders.make_history(pupil, [(40, 0), (42, 1), (41, 0)])
    builders.make_standing(pupil, mark_rate=20)
    set_mark(**AGREED, valid_from=TODAY, **who)

    assert Standing.objects.get(is_current=True).mark_rate == 18.5


def test_set_mark_from_a_later_day_leaves_standings_for_then(who, pupil):
    builders.make_standing(pupil, mark_rate=20)
    set_mark(**AGREED, valid_from=date(2027, 1, 4), **who)

    assert list(Standing.objects.values_list("mark_rate", "stale")) == [(20, True)]

from datetime import date

import pytest

from tests import builders as make
from tracker.measures import ladder
from tracker.measures.rules import Rules
from tracker.models import Mark
from tracker.progress.rules import default_mark, mark_for, rules_of


@pytest.fixture
def school(db):
    return make.make_school()


def mark(school, *, rate, version, **fields):
    values = {"accuracy": 0.9, "source": "school", "valid_from": make.YEAR_STARTS, "recorded_at": make.NOW, **fields}
    return Mark.objects.create(school=school, skill=make.skill("sub-2d-regroup"), rate=rate, version=version, **values)


def chosen(rows, pupil=0, grade=3, on=make.TODAY):
    return mark_for(
        rows, skill_id=make.skill("sub-2d-regroup").pk, skill_key="sub-2d-regroup", pupil_id=pupil, grade=grade, on=on
    )


def test_school_without_settings_has_the_defaults(school):
    assert rules_of(school) == Rules()


def test_schools_settings_replace_the_defaults_by_name(db):
    assert rules_of(make.make_school(rules={"pool": 4})) == Rules(pool=4)


def test_default_marks_are_those_of_the_ladder():
    for step in ladder.steps():
        found = default_mark(step.key)
        assert (found.rate if found else None) == step.default_mark_rate
        assert found is None or (found.version, found.valid_from, found.is_default) == (0, date.min, True)


def test_year_sheets_carry_their_source():
    assert (default_mark("year-3").source, default_mark("year-3").rate) == ("burns-2006", 31)
    assert (default_mark("sub-2d-regroup").source, default_mark("copying")) == ("common-practice", None)


def test_own_mark_goes_before_grade_before_skill_before_default(school):
    group = make.make_class(school)
    pupil = make.make_pupil(group)
    general = mark(school, rate=22, version=4)
    graded = mark(school, rate=24, version=1, grade=3)
    own = mark(school, rate=15, version=2, pupil=pupil, why="Agreed with the family")

    assert chosen([]).rate == 20
    assert chosen([general]).rate == 22
    assert chosen([general, graded]).rate == 24
    assert chosen([general, graded], grade=4).rate == 22
    assert chosen([general, graded, own], pupil=pupil.pk).rate == 15
    assert chosen([general, graded, own], pupil=pupil.pk + 1).rate == 24


def test_mark_holds_from_its_date(school):
    later = mark(school, rate=22, version=1, valid_from=date(2026, 12, 1))

    assert chosen([later]).rate == 20
    assert chosen([later], on=date(2026, 12, 1)).rate == 22


def test_mark_of_another_skill_is_passed_over(school):
    row = mark(school, rate=22, version=1)
    Mark.objects.filter(pk=row.pk).update(skill=make.skill("sub-2d-plain"))

    assert chosen(list(Mark.objects.all())).rate == 20

"""Years, terms and breaks: what may be added, changed and removed."""

from datetime import date

import pytest

from tests import builders
from tests.actions.roster_scene import office_of, recorded, refused
from tests.builders import TODAY
from tracker.actions.errors import OutOfScope
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
from tracker.models import Break, ReportMark, SchoolYear, Term

pytestmark = pytest.mark.django_db
NEXT = {"name": "2027/28", "starts": date(2027, 9, 6), "ends": date(2028, 7, 1)}
AUTUMN = {"name": "Autumn", "starts": date(2026, 9, 7), "ends": date(2026, 12, 18)}


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def office(school):
    return office_of(school)


@pytest.fixture
def who(office):
    return {"by": office, "on": TODAY}


@pytest.fixture
def year(school):
    return builders.year_of(school)


def test_add_year_is_there_and_recorded(school, who):
    year = add_year(**NEXT, **who)

    assert list(school.years.values_list("name", flat=True)) == ["2026/27", "2027/28"]
    assert (year.starts, year.ends) == (NEXT["starts"], NEXT["ends"])
    assert recorded() == ["add-year"]


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"ends": date(2027, 9, 6)}, "ends", "must come after"),
        ({"ends": date(2028, 12, 1)}, "ends", "at most 400 days"),
        ({"name": "2026/27"}, "name", "already one called “2026/27”"),
        ({"starts": date(2027, 7, 2)}, "starts", "overlap with “2026/27”, from 7 September 2026 to 2 July 2027"),
    ],
)
def test_add_year_refuses(who, changes, field, words):
    place, sentence = refused(add_year, **{**NEXT, **changes}, **who)

    assert place == field
    assert words in sentence
    assert SchoolYear.objects.count() == 1


def test_add_year_needs_the_office(school):
    teacher = builders.viewer(builders.make_member(school, "teacher"), school)
    with pytest.raises(OutOfScope):
        add_year(**NEXT, by=teacher, on=TODAY)


def test_change_year_leaves_room_for_what_stands_in_it(year, who):
    add_term(year_id=year.public_id, **AUTUMN, **who)
    values = {"year_id": year.public_id, "name": "2026/27", **who}

    place, sentence = refused(change_year, starts=date(2026, 9, 8), ends=year.ends, **values)
    changed = change_year(starts=date(2026, 9, 1), ends=date(2027, 6, 30), **values)

    assert (place, sentence) == ("starts", "Something in this year already stands on 7 September 2026.")
    assert (changed.starts, changed.ends) == (date(2026, 9, 1), date(2027, 6, 30))


def test_change_year_keeps_checks_inside(year, who, school):
    builders.make_check(builders.make_class(school), on=date(2027, 6, 25))

    place, _sentence = refused(
        change_year, year_id=year.public_id, name="x", starts=year.starts, ends=date(2027, 6, 24), **who
    )

    assert place == "ends"


def test_change_year_of_another_school_is_out_of_scope(who):
    other = builders.year_of(builders.make_school("Mill School"))
    with pytest.raises(OutOfScope):
        change_year(year_id=other.public_id, **NEXT, **who)


def test_remove_year_only_when_nothing_rests_on_it(year, school, who):
    builders.make_class(school)
    _place, sentence = refused(remove_year, year_id=year.public_id, **who)
    school.class_groups.all().delete()
    remove_year(year_id=year.public_id, **who)

    assert "has classes" in sentence
    assert school.years.count() == 0


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"ends": date(2026, 9, 7)}, "ends"),
        ({"starts": date(2026, 9, 1)}, "starts"),
        ({"ends": date(2027, 7, 3)}, "ends"),
        ({"name": "autumn", "starts": date(2027, 1, 4), "ends": date(2027, 3, 1)}, "name"),
        ({"name": "Advent", "starts": date(2026, 12, 18), "ends": date(2027, 1, 20)}, "starts"),
    ],
)
def test_add_term_refuses(year, who, changes, field):
    add_term(year_id=year.public_id, **AUTUMN, **who)
    place, _sentence = refused(add_term, year_id=year.public_id, **{**AUTUMN, **changes}, **who)

    assert place == field
    assert Term.objects.count() == 1


def test_change_term_moves_its_days(year, who):
    term = add_term(year_id=year.public_id, **AUTUMN, **who)
    changed = change_term(
        term_id=term.public_id, name="Autumn", starts=AUTUMN["starts"], ends=date(2026, 12, 20), **who
    )

    assert changed.ends == date(2026, 12, 20)


def test_change_term_that_is_frozen_is_refused(year, who):
    term = add_term(year_id=year.public_id, **AUTUMN, **who)
    Term.objects.update(frozen_on=TODAY)

    assert "frozen" in refused(change_term, term_id=term.public_id, **AUTUMN, **who)[1]


def test_remove_term_only_without_report_marks(year, school, who):
    term = add_term(year_id=year.public_id, **AUTUMN, **who)
    pupil = builders.make_pupil(builders.make_class(school))
    mark = ReportMark.objects.create(school=school, pupil=pupil, term=term, updated_at=builders.NOW)
    sentence = refused(remove_term, term_id=term.public_id, **who)[1]
    mark.delete()
    remove_term(term_id=term.public_id, **who)

    assert "Report marks" in sentence
    assert Term.objects.count() == 0


def test_add_break_may_be_one_day(year, who):
    day = date(2026, 11, 2)
    row = add_break(year_id=year.public_id, name="Town feast", starts=day, ends=day, **who)

    assert (row.starts, row.ends) == (day, day)


@pytest.mark.parametrize(
    ("starts", "ends", "field"),
    [
        (date(2026, 10, 30), date(2026, 10, 26), "ends"),
        (date(2026, 10, 30), date(2026, 11, 4), "starts"),
        (date(2027, 7, 1), date(2027, 7, 9), "ends"),
    ],
)
def test_add_break_refuses(year, who, starts, ends, field):
    add_break(year_id=year.public_id, name="Autumn break", starts=date(2026, 10, 26), ends=date(2026, 10, 30), **who)
    place, _sentence = refused(add_break, year_id=year.public_id, name="Other", starts=starts, ends=ends, **who)

    assert place == field
    assert Break.objects.count() == 1


def test_change_and_remove_break(year, who):
    day = date(2026, 11, 2)
    row = add_break(year_id=year.public_id, name="Town feast", starts=day, ends=day, **who)
    change_break(break_id=row.public_id, name="Feast", starts=day, ends=date(2026, 11, 3), **who)
    kept = Break.objects.get()
    remove_break(break_id=row.public_id, **who)

    assert (kept.name, kept.ends) == ("Feast", date(2026, 11, 3))
    assert Break.objects.count() == 0
    assert recorded() == ["add-break", "change-break", "remove-break"]

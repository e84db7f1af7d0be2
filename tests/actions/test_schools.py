"""A school's beginning and its settings."""

from datetime import date

import pytest

from tests import builders
from tests.actions.roster_scene import office_of, recorded, refused
from tests.builders import TODAY
from tracker.actions.errors import OutOfScope
from tracker.actions.schools import change_school, set_rules, set_skills_off, start_school
from tracker.measures import ladder
from tracker.models import ChangeRecord, School, Skill, Standing, User
from tracker.progress.rules import rules_of
from tracker.progress.vocabulary import skill_label

pytestmark = pytest.mark.django_db
NEW = {
    "name": "Lindenfeld Primary",
    "timezone": "Europe/Vienna",
    "year_name": "2026/27",
    "year_starts": date(2026, 9, 7),
    "year_ends": date(2027, 7, 2),
    "office_name": "Ottilie Brandt",
    "office_username": "office",
    "on": TODAY,
}
SETTINGS = {
    "name": "Harbour Lane School",
    "timezone": "Europe/Oslo",
    "language": "en",
    "week_start": 6,
    "date_order": "MDY",
    "typing": "reached-wrong",
    "words": {},
}


@pytest.fixture
def school():
    return builders.make_school()


@pytest.fixture
def who(school):
    return {"by": office_of(school), "on": TODAY}


def test_start_school_makes_all_that_the_office_needs():
    started = start_school(**NEW, password=builders.PASSWORD)
    viewer = builders.viewer(started.office, started.school)

    assert (started.school.name, started.year.name) == ("Lindenfeld Primary", "2026/27")
    assert (viewer.roles, started.office.check_password(builders.PASSWORD)) == ({"office"}, True)
    assert Skill.objects.count() == len(ladder.steps())
    assert ChangeRecord.objects.get().school_key == started.school.pk


def test_start_school_before_the_year_begins_lets_the_office_in_today():
    started = start_school(**{**NEW, "on": date(2026, 8, 3)}, password=builders.PASSWORD)

    assert started.office.memberships.get().starts == date(2026, 8, 3)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"name": "HARBOUR lane school"}, "name"),
        ({"name": " "}, "name"),
        ({"timezone": "Vienna"}, "timezone"),
        ({"year_ends": date(2026, 9, 7)}, "year_ends"),
        ({"year_ends": date(2028, 9, 7)}, "year_ends"),
        ({"password": "short"}, "password"),
        ({"password": "aaaaaaaaaaaa", "office_username": "aaaaaaaaaaaa"}, "password"),
    ],
)
def test_start_school_refused_changes_nothing(school, changes, field):
    assert refused(start_school, **{**NEW, **changes})[0] == field
    assert list(School.objects.all()) == [school]
    assert User.objects.count() == 0


def test_start_school_twice_is_refused():
    start_school(**NEW)

    assert refused(start_school, **{**NEW, "office_username": "other"}) == (
        "name",
        "There is already a school called “Lindenfeld Primary”; nothing was changed.",
    )


def test_start_school_never_takes_somebody_elses_account_unasked():
    first = start_school(**NEW)
    again = {**NEW, "name": "Second"}
    place, _sentence = refused(start_school, **{**again, "office_username": "OFFICE"})
    second = start_school(**again, existing_account=True)

    assert place == "office_username"
    assert second.office == first.office
    assert refused(start_school, **{**again, "name": "Third", "office_username": "x"}, existing_account=True)[0] == (
        "office_username"
    )


def test_change_school_keeps_own_words_and_records_the_change(school, who):
    change_school(**{**SETTINGS, "words": {"grade": "year", "subtract": "take away", "regrouping": ""}}, **who)
    school.refresh_from_db()

    assert (school.timezone, school.week_start, school.date_order) == ("Europe/Oslo", 6, "MDY")
    assert school.words == {"grade": "year", "subtract": "take away"}
    assert skill_label("sub-2d-regroup", school) == "Take away two-digit numbers, with regrouping"
    assert ChangeRecord.objects.get().before["timezone"] == "UTC"


def test_change_school_to_the_name_of_another_is_refused(who):
    builders.make_school("Mill School")

    assert refused(change_school, **{**SETTINGS, "name": "mill school"}, **who)[0] == "name"
    assert refused(change_school, **{**SETTINGS, "timezone": "Oslo"}, **who)[0] == "timezone"


def test_change_school_is_for_the_office(school):
    coordinator = builders.viewer(builders.make_member(school, "coordinator"), school)
    with pytest.raises(OutOfScope):
        change_school(**SETTINGS, by=coordinator, on=TODAY)


def test_set_skills_off_knows_only_the_ladder(school, who):
    set_skills_off(skills_off=["times-all", "no-such-skill"], **who)
    school.refresh_from_db()

    assert school.skills_off == ["times-all"]


def test_set_rules_keeps_only_what_differs(school, who):
    pupil = builders.make_pupil(builders.make_class(school))
    builders.make_standing(pupil)
    usual = rules_of(school).as_mapping()
    set_rules(rules={**usual, "pool": 4}, **who)
    school.refresh_from_db()

    assert school.rules == {"pool": 4}
    assert rules_of(school).pool == 4
    assert list(Standing.objects.values_list("stale", flat=True)) == [True]
    set_rules(rules=usual, **who)
    school.refresh_from_db()
    assert school.rules == {}
    assert recorded() == ["change-school", "change-school"]


def test_set_rules_outside_the_range_is_refused(school, who):
    place, sentence = refused(set_rules, rules={"pool": 99}, **who)

    assert place == "pool"
    assert "from 1 to 12" in sentence

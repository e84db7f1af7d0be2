"""What a pupil should sit next: the ladder's next step, a retention check in between, no time after stopping."""

from datetime import date, timedelta

import pytest

from tests import builders
from tests.builders import TODAY
from tests.web.class_scene import make_class_scene
from tracker.measures import ladder
from tracker.measures.rules import Rules
from tracker.models import School
from tracker.progress.plan import class_plan, propose, skill_choices
from tracker.queries.standings import Stand, Step

RULES = Rules()


def stand(key, stage, *, last=TODAY, secure=None):
    step = ladder.step(key)
    return Stand(1, Step(key, step.kind, step.order), stage, 4, last, 20.0, 0.95, 0.95, secure)


def ago(days):
    return TODAY - timedelta(days=days)


def asked(*rows, grade=3, school=None, rules=RULES):
    found = propose(rows, grade=grade, school=school or School(), on=TODAY, rules=rules)
    return found.skill_key, found.why


def test_proposal_without_a_record_is_the_first_step_of_the_grade():
    assert asked(grade=2) == ("add-facts-20", "first check: nothing on record yet")


def test_proposal_goes_on_with_what_is_begun():
    assert asked(stand("sub-2d-plain", "secure", secure=ago(5)), stand("sub-2d-regroup", "learning")) == (
        "sub-2d-regroup",
        "learning",
    )


def test_proposal_after_a_secure_skill_is_the_next_on_the_ladder():
    assert asked(stand("sub-2d-plain", "secure", secure=TODAY)) == ("add-2d-regroup", "next on the ladder")


def test_proposal_looks_again_at_a_secure_skill_after_four_weeks():
    rows = [stand("sub-2d-plain", "secure", last=ago(28), secure=ago(28)), stand("sub-2d-regroup", "learning")]

    assert asked(*rows) == ("sub-2d-plain", "secure a month ago: is it kept?")


def test_proposal_waits_until_four_weeks_are_over():
    rows = [stand("sub-2d-plain", "secure", last=ago(27), secure=ago(27)), stand("sub-2d-regroup", "learning")]

    assert asked(*rows)[0] == "sub-2d-regroup"


def test_proposal_takes_the_weeks_from_the_rules_of_the_school():
    rows = [stand("sub-2d-plain", "secure", last=ago(14), secure=ago(14)), stand("sub-2d-regroup", "learning")]

    assert asked(*rows, rules=Rules(kept_after_days=14))[0] == "sub-2d-plain"


def test_proposal_returns_to_the_current_skill_after_a_retention_check():
    rows = [
        stand("sub-tens", "secure", last=ago(40), secure=ago(40)),
        stand("sub-2d-plain", "kept", last=TODAY, secure=ago(40)),
        stand("sub-2d-regroup", "learning", last=ago(7)),
    ]

    assert asked(*rows)[0] == "sub-2d-regroup"


def test_proposal_asks_for_a_second_check_where_the_first_was_not_kept():
    rows = [stand("sub-2d-plain", "secure", last=ago(7), secure=ago(50)), stand("sub-2d-regroup", "learning")]

    assert asked(*rows) == ("sub-2d-plain", "not kept last time: once more")


def test_proposal_takes_secure_skills_in_turn():
    rows = [
        stand("sub-tens", "secure", last=ago(7), secure=ago(90)),
        stand("sub-2d-plain", "secure", last=ago(30), secure=ago(30)),
        stand("sub-2d-regroup", "learning"),
    ]

    assert asked(*rows)[0] == "sub-2d-plain"


def test_proposal_leaves_out_year_sheets_and_skills_that_are_off():
    rows = [stand("year-3", "learning"), stand("sub-2d-regroup", "learning", last=ago(7))]

    assert asked(*rows)[0] == "sub-2d-regroup"
    assert asked(*rows, school=School(skills_off=["sub-2d-regroup"]))[0] != "sub-2d-regroup"


def test_proposal_ends_with_the_ladder():
    rows = [stand(one.key, "kept", last=date(2026, 9, 10), secure=date(2026, 9, 10)) for one in ladder.steps("skill")]

    assert asked(*rows) == ("", "all skills of the ladder are secure")


def test_choices_take_the_words_of_the_school_and_leave_out_what_is_off():
    choices = dict(skill_choices(School(skills_off=["add-tens"], words={"regrouping": "exchanging"})))

    assert "add-tens" not in choices
    assert choices["sub-2d-regroup"] == "Subtract two-digit numbers, with exchanging"


@pytest.mark.django_db
def test_plan_gives_no_time_after_two_stopped_checks():
    scene = make_class_scene()
    stopped, other = builders.make_pupils(scene.group, 2)
    for days in (14, 7):
        check = builders.make_check(scene.group, on=ago(days), state="closed", closed_at=builders.NOW)
        builders.make_attempt(check, stopped, status="stopped")
        builders.make_attempt(check, other, correct=30)

    lines = class_plan(scene.viewer, scene.group).lines

    assert [(line.name, line.untimed) for line in lines] == [("Pupil01 Name01", True), ("Pupil02 Name02", False)]
    assert lines[0].why == "stopped several times: talk with the child, and give it without time"


@pytest.mark.django_db
def test_plan_never_offers_time_to_a_child_without_timed_checks():
    scene = make_class_scene()
    builders.make_pupil(scene.group, no_timed_checks=True)

    (line,) = class_plan(scene.viewer, scene.group).lines

    assert (line.timed, line.untimed) == (False, False)


@pytest.mark.django_db
def test_plan_knows_several_grades():
    scene = make_class_scene()
    for grade in (3, 4):
        builders.make_pupil(scene.group, grade=grade)

    assert class_plan(scene.viewer, scene.group).several_grades is True

"""How many flags to expect by chance: arithmetic on the measured shares, said in a sentence."""

import pytest

from tests import builders
from tests.progress.settled import settle
from tracker.measures.flag_rates import MEASURED
from tracker.models import School
from tracker.progress.by_chance import class_sentence, expected, sentence, skills_sat

FIVE = {"add-2d-plain", "add-2d-regroup", "sub-2d-plain", "sub-2d-regroup", "times-2-5-10"}
OWN_RULES = "This was measured with the rules that came with the product; your school has changed some."


def test_expected_counts_every_skill_for_accuracy_and_those_with_a_twin_for_the_gap():
    assert expected(28, FIVE) == pytest.approx(28 * (5 * MEASURED.accuracy_low + 2 * MEASURED.regrouping_gap))
    assert expected(28, {"add-2d-plain"}) == pytest.approx(28 * MEASURED.accuracy_low)


def test_sentence_rounds_up_so_that_it_never_says_too_few():
    # 28 pupils x 5 skills x 0.0293 = 4.1
    assert sentence(School(), 28, FIVE) == "Over all skills of the class, at most about 5 flags a year come by chance."
    assert sentence(School(), 5, {"add-tens"}) == (
        "Over all skills of the class, at most about 1 flag a year comes by chance."
    )


@pytest.mark.parametrize(("pupils", "skills"), [(0, FIVE), (28, set())])
def test_sentence_is_empty_where_nobody_sits_anything(pupils, skills):
    assert sentence(School(), pupils, skills) == ""


def test_sentence_says_when_the_school_has_rules_of_its_own():
    assert sentence(School(rules={"low_accuracy": 0.8}), 28, FIVE).endswith(OWN_RULES)
    assert OWN_RULES not in sentence(School(rules={"no_check_weeks": 4}), 28, FIVE)


@pytest.mark.django_db
def test_class_sentence_counts_pupils_of_today_and_skills_not_secure_yet(django_assert_num_queries):
    school = builders.make_school()
    teacher = builders.make_member(school, "teacher")
    heron = builders.make_class(school, teacher=teacher)
    other = builders.make_pupil(builders.make_class(school, "Otter"))
    pupils = builders.make_pupils(heron, 20)
    builders.make_history(other, [(30, 2)], key="add-tens")
    builders.make_history(pupils[0], [(30, 2)] * 3, key="sub-2d-plain")
    builders.make_history(pupils[1], [(70, 0)] * 3, key="add-2d-plain")
    settle(other, *pupils[:2])

    viewer = builders.viewer(teacher)

    with django_assert_num_queries(2):
        said = class_sentence(viewer, heron)

    assert said == sentence(school, 20, {"sub-2d-plain"})
    assert skills_sat(pupils[1].standings.filter(is_current=True).select_related("skill")) == set()

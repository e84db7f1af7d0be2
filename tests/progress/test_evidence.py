"""Evidence in sentences: every kind with its numbers and days."""

from types import SimpleNamespace

import pytest

from tests import builders
from tracker.progress.evidence import has_sentence, percent, sentence

pytestmark = pytest.mark.django_db

DAYS = ["2026-11-06", "2026-11-13", "2026-11-20"]
REGROUPING = {
    "skill_accuracy": 0.6186,
    "twin_accuracy": 0.95,
    "skill_right": 60,
    "skill_total": 97,
    "skill_dates": DAYS,
    "twin_right": 152,
    "twin_total": 160,
    "twin_dates": ["2026-10-16", "2026-10-23"],
}


@pytest.fixture
def school():
    return builders.make_school()


def flag(kind, evidence, key="sub-2d-regroup"):
    return SimpleNamespace(kind=kind, evidence=evidence, skill=builders.skill(key), raised_on=builders.TODAY)


def test_regrouping_gap_names_both_skills_their_shares_and_days(school):
    assert sentence(flag("regrouping-gap", REGROUPING), school) == (
        "62 % of the digits right here (60 of 97, 6 November to 20 November), but 95 % on “Subtract two-digit numbers, "
        "no regrouping” (152 of 160, 16 October to 23 October)."
    )


def test_regrouping_gap_with_the_twin_checked_once_names_that_day_once(school):
    words = sentence(flag("regrouping-gap", {**REGROUPING, "twin_dates": DAYS[:1]}), school)

    assert words.endswith("(152 of 160, 6 November).")


def test_regrouping_gap_speaks_the_schools_words(school):
    school.words = {"regrouping": "exchanging", "subtract": "take away"}

    assert "“Take away two-digit numbers, no exchanging”" in sentence(flag("regrouping-gap", REGROUPING), school)


def test_low_accuracy_counts_its_checks(school):
    evidence = {"accuracy": 0.74, "upper": 0.8, "before": 0.75, "right": 111, "total": 150, "dates": DAYS}

    assert sentence(flag("accuracy-low", evidence), school) == (
        "74 % of the digits right in the last 3 checks (111 of 150, 6 November to 20 November)."
    )
    assert sentence(flag("accuracy-low", {**evidence, "dates": DAYS[:1]}), school) == (
        "74 % of the digits right in the last check (111 of 150, 6 November)."
    )


@pytest.mark.parametrize(
    ("weeks", "words"),
    [
        (1, "Last check on 6 November, 1 school week ago."),
        (4, "Last check on 6 November, 4 school weeks ago."),
    ],
)
def test_no_recent_check_says_since_when(school, weeks, words):
    assert sentence(flag("no-recent-check", {"last_on": DAYS[0], "weeks": weeks}), school) == words


@pytest.mark.parametrize(("weeks", "words"), [(1, "1 school week"), (4, "4 school weeks")])
def test_skill_that_was_not_checked_in_its_turn_names_no_last_check(school, weeks, words):
    evidence = {"last_on": DAYS[0], "weeks": weeks, "checked": False}

    assert sentence(flag("no-recent-check", evidence), school) == (
        f"The skill to check since 6 November, and no check of it in the {words} since."
    )


def test_slipped_back_names_the_checks_below_the_mark(school):
    evidence = {"secure_on": "2026-10-02", "failed_on": DAYS[1:]}

    assert sentence(flag("slipped-back", evidence), school) == (
        "Secure on 2 October; the checks of 13 November, 20 November were below the mark."
    )


@pytest.mark.parametrize(("kind", "evidence"), [("levelled", {"onset": 12}), ("regrouping-gap", {})])
def test_a_flag_without_a_sentence_of_its_own_says_only_its_day(school, kind, evidence):
    raised = flag(kind, evidence)

    assert not has_sentence(raised)
    assert sentence(raised, school) == "Raised on 20 November."


def test_percent_is_rounded():
    assert [percent(share) for share in (0, 0.925, 0.995, 1)] == ["0 %", "92 %", "100 %", "100 %"]

"""Words for stages, flags and skills: every code has one, and the school's own words are put in."""

import pytest

from tracker.measures import ladder, stages
from tracker.models import Flag, School
from tracker.progress.vocabulary import (
    flag_label,
    grade_label,
    school_words,
    skill_label,
    skill_short,
    stage_label,
    stage_letter,
    words_explained,
)

OWN = School(words={"regrouping": "exchanging", "subtract": "take away", "grade": "year"})


@pytest.mark.parametrize("stage", stages.STAGES)
def test_stage_words_are_those_of_the_measures(stage):
    assert (stage_label(stage), stage_letter(stage)) == (stages.LABELS[stage], stages.LETTERS[stage])


def test_flag_words_are_there_for_every_kind():
    assert {flag_label(kind) for kind in Flag.Kind.values} == {str(label) for label in Flag.Kind.labels}


@pytest.mark.parametrize("step", ladder.steps())
def test_skill_words_are_filled_for_every_step(step):
    words = [skill_label(step.key, OWN), *skill_short(step.key, OWN)]

    assert words[0]
    assert not any("%" in word for word in words)
    assert not any(word.lower() in text.lower() for text in words for word in ("regrouping", "subtract"))


def test_school_words_replace_ours():
    assert skill_label("sub-2d-regroup", OWN) == "Take away two-digit numbers, with exchanging"
    assert skill_short("sub-2d-regroup", OWN)[1] == "exchanging"
    assert grade_label(3, OWN) == "Year 3"


def test_words_explained_to_families_are_the_schools_and_only_those_in_use():
    told = words_explained(["add-tens", "sub-2d-plain"], OWN)

    assert told == "“exchanging” means swapping ten ones for a ten, or a ten for ten ones."
    assert words_explained(["add-tens", "times-all"], OWN) == ""


def test_school_words_default_to_ours():
    assert school_words(School()) == ladder.DEFAULT_WORDS

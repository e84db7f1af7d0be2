import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.measures.ladder import DEFAULT_WORDS, DONE, STAGES, fill, next_steps, propose, step, steps

KEYS = [
    "add-facts-10",
    "sub-facts-10",
    "add-facts-20",
    "sub-facts-20",
    "add-tens",
    "sub-tens",
    "add-2d1d-plain",
    "add-2d1d-regroup",
    "sub-2d1d-plain",
    "sub-2d1d-regroup",
    "add-2d-plain",
    "add-2d-regroup",
    "sub-2d-plain",
    "sub-2d-regroup",
    "mixed-2d",
    "add-3d-plain",
    "add-3d-regroup",
    "sub-3d-plain",
    "sub-3d-regroup",
    "sub-3d-zeros",
    "missing-20",
    "missing-100",
    "times-2-5-10",
    "times-all",
    "divide-all",
    "times-2d1d",
    "year-1",
    "year-2",
    "year-3",
    "year-4",
    "year-5",
    "copying",
]
SKILLS = [one.key for one in steps("skill")]
RECORDS = st.dictionaries(st.sampled_from(SKILLS), st.sampled_from(STAGES))

# The marks of the design: common practice, no source, provisional; year sheets by analogy with burns-2006.
MARKS = {
    40: "add-facts-10 sub-facts-10 add-facts-20 sub-facts-20 times-2-5-10 times-all divide-all",
    30: "add-tens sub-tens add-2d1d-plain sub-2d1d-plain add-2d-plain sub-2d-plain add-3d-plain sub-3d-plain",
    25: "mixed-2d",
    20: "add-2d1d-regroup sub-2d1d-regroup add-2d-regroup sub-2d-regroup add-3d-regroup sub-3d-regroup missing-20 "
    "missing-100 times-2d1d",
    16: "sub-3d-zeros",
    31: "year-2 year-3",
    49: "year-4 year-5",
    None: "year-1 copying",
}


def test_keys_are_frozen():
    assert [one.key for one in steps()] == KEYS
    assert [one.order for one in steps()] == list(range(1, len(KEYS) + 1))


@pytest.mark.parametrize(("mark", "keys"), MARKS.items())
def test_default_marks(mark, keys):
    assert [one.key for one in steps() if one.default_mark_rate == mark] == keys.split()


def test_default_accuracy():
    assert {one.default_accuracy for one in steps() if one.key != "copying"} == {0.95}
    assert step("copying").default_accuracy is None


def test_a_check_at_the_mark_holds_sixty_digits():
    # The error rates of the secure rule hold where mark x minutes is at least 60.
    marked = [one for one in steps() if one.default_mark_rate]

    assert min(one.default_mark_rate * one.default_seconds / 60 for one in marked) == 60


def test_prerequisites_stand_earlier():
    for one in steps():
        assert all(step(key).order < one.order and step(key).kind == "skill" for key in one.prerequisites)


def test_every_skill_can_be_reached():
    secure = set()
    for _ in SKILLS:
        secure |= set(next_steps(secure))

    assert secure == set(SKILLS)


def test_twins_are_the_same_step_without_regrouping():
    twins = {one.key: one.twin for one in steps() if one.twin}

    assert [one.key for one in steps() if one.regroups] == list(twins)
    assert {key: twin for key, twin in twins.items() if twin != key.replace("regroup", "plain")} == {
        "sub-3d-zeros": "sub-3d-plain"
    }
    for key, twin in twins.items():
        assert (step(twin).regroups, step(twin).operations) == (False, step(key).operations)
        assert twin in step(key).prerequisites or key == "sub-3d-zeros"


def test_standards_are_official_codes():
    # Source: ccss-2010, official form CCSS.MATH.CONTENT.2.NBT.B.5 (form SEEN; content partly MEMORY).
    pattern = re.compile(r"CCSS\.MATH\.CONTENT\.[K1-5]\.(OA|NBT)\.[A-D]\.[1-9]")

    assert step("sub-2d-regroup").standards[0] == "CCSS.MATH.CONTENT.2.NBT.B.5"
    for one in steps():
        assert all(pattern.fullmatch(code) for code in one.standards)
        assert bool(one.standards) is (one.kind != "copying")


def test_fact_skills_are_earlier_fact_sheets():
    facts = {one.key: one.fact_skill for one in steps() if one.fact_skill}

    assert set(facts.values()) <= {
        "add-facts-10",
        "sub-facts-10",
        "add-facts-20",
        "sub-facts-20",
        "times-2-5-10",
        "times-all",
    }
    assert all(step(fact).order < step(key).order for key, fact in facts.items())


def test_steps_of_a_kind():
    assert [one.key for one in steps("year")] == ["year-1", "year-2", "year-3", "year-4", "year-5"]
    assert [one.grades for one in steps("year")] == [(1,), (2,), (3,), (4,), (5,)]
    assert [one.key for one in steps("copying")] == ["copying"]


def test_labels_take_the_words_of_the_school():
    words = {"regrouping": "exchanging", "subtract": "take away", "grade": "year"}

    assert fill(step("sub-2d-regroup").label) == "Subtract two-digit numbers, with regrouping"
    assert fill(step("sub-2d-regroup").label, words) == "Take away two-digit numbers, with exchanging"
    assert fill(step("year-3").label, words) == "Mixed year sheet, year 3"


def test_labels_are_told_apart():
    for labels in ([fill(one.label) for one in steps()], [one.short_label for one in steps()]):
        assert len(set(labels)) == len(KEYS)
    assert all("%" not in fill(part) for one in steps() for part in (one.label, *one.short_label))
    assert max(len(fill(part)) for one in steps() for part in one.short_label) <= 22


def test_label_without_its_word_is_refused():
    with pytest.raises(ValueError, match="needs a word for 'regrouping'"):
        fill(step("sub-2d-regroup").label, {"subtract": "take away"})


def test_next_steps_wait_for_what_they_rest_on():
    assert next_steps([]) == ("add-facts-10",)
    assert next_steps(["add-facts-10", "sub-facts-10"]) == ("add-facts-20", "add-tens", "sub-tens")
    assert next_steps(SKILLS) == ()


@pytest.mark.parametrize(
    ("grade", "key"),
    [
        (0, "add-facts-10"),
        (1, "add-facts-10"),
        (2, "add-facts-20"),
        (3, "add-2d-regroup"),
        (4, "add-3d-regroup"),
        (5, "times-2d1d"),
        (9, "times-2d1d"),
    ],
)
def test_pupil_without_a_record_begins_with_the_grade(grade, key):
    assert propose({}, grade=grade) == key


@pytest.mark.parametrize(
    ("stages", "grade", "key"),
    [
        # what is begun goes on
        ({"sub-2d-regroup": "learning"}, 2, "sub-2d-regroup"),
        ({"add-2d-plain": "secure", "add-2d-regroup": "few"}, 2, "add-2d-regroup"),
        # two begun: the earlier one, and a step waits for what it rests on
        ({"sub-2d-regroup": "quicker", "sub-2d-plain": "learning"}, 2, "sub-2d-plain"),
        # all begun are secure: the next one whose prerequisites are
        ({"add-facts-10": "secure"}, 1, "sub-facts-10"),
        ({"add-facts-10": "secure", "sub-facts-10": "kept"}, 1, "add-facts-20"),
        ({"add-facts-10": "secure", "sub-facts-10": "not-started"}, 1, "sub-facts-10"),
        # earlier grades without a record don't hold a pupil back
        ({"add-2d-regroup": "secure"}, 3, "sub-2d-regroup"),
        # unless a record says that they should
        ({"sub-2d1d-plain": "learning"}, 3, "sub-2d1d-plain"),
    ],
)
def test_proposed_skill(stages, grade, key):
    assert propose(stages, grade=grade) == key


def test_skill_that_the_school_does_not_use_is_passed_over():
    stages = {"add-facts-10": "secure", "sub-facts-10": "secure", "add-facts-20": "secure"}

    assert propose(stages, grade=1) == "sub-facts-20"
    assert propose(stages, grade=1, off=["sub-facts-20", "add-tens"]) == "sub-tens"
    assert propose({"sub-facts-20": "learning", **stages}, grade=1, off=["sub-facts-20"]) == "add-tens"
    # and it does not make what it rests on count as done
    assert propose({}, grade=2, off=["times-2d1d"]) == "add-facts-20"


def test_nothing_is_proposed_past_the_ladder():
    assert propose(dict.fromkeys(SKILLS, "kept"), grade=3) is None


@given(RECORDS, st.integers(1, 6))
def test_proposed_skill_is_open_and_its_known_prerequisites_are_done(stages, grade):
    key = propose(stages, grade=grade)

    if key is None:
        assert set(stages.values()) <= DONE | {"not-started"}
    else:
        assert stages.get(key) not in DONE
        known = [stages[needed] for needed in step(key).prerequisites if needed in stages]
        assert set(known) <= DONE | {"not-started"}


@given(RECORDS, st.integers(1, 6))
def test_a_skill_that_is_begun_comes_before_a_new_one(stages, grade):
    begun = [key for key, stage in stages.items() if stage not in DONE | {"not-started"}]

    if begun:
        assert propose(stages, grade=grade) in begun


def test_unknown_keys_stages_and_kinds_are_refused():
    with pytest.raises(ValueError, match="the ladder has no skill 'sub-9d'"):
        step("sub-9d")
    with pytest.raises(ValueError, match="the ladder has no skill 'sub-9d'"):
        next_steps(["sub-9d"])
    with pytest.raises(ValueError, match=r"the stage of add-tens must be one of not-started, .*, not 'done'"):
        propose({"add-tens": "done"}, grade=2)
    with pytest.raises(ValueError, match="kind must be skill, year or copying, not 'facts'"):
        steps("facts")


def test_default_words_are_english():
    assert DEFAULT_WORDS == {"regrouping": "regrouping", "subtract": "subtract", "grade": "grade"}

import pytest

from tracker.measures import ladder
from tracker.measures.problems import Problem
from tracker.measures.sheets.plans import KINDS, MIXED, ItemKind
from tracker.measures.sheets.stream import Stream


def test_every_skill_has_a_plan():
    assert {*KINDS, *MIXED} == {one.key for one in ladder.steps()}


def test_mixed_sheets_are_made_of_plain_skills():
    assert {key for plan in MIXED.values() for key in plan} <= set(KINDS)


def test_year_sheets_hold_work_of_the_grade_or_below():
    for one in ladder.steps("year"):
        grades = [min(ladder.step(key).grades) for key in MIXED[one.key]]
        assert max(grades) <= one.grades[0]
        assert {item for key in MIXED[one.key] for item in ladder.step(key).operations} == set(one.operations)


@pytest.mark.parametrize("key", KINDS)
def test_kinds_fit_the_step(key):
    one = ladder.step(key)
    items = [kind.draw(Stream(key, index)) for kind in KINDS[key] for index in range(30)]

    assert {item.operation for item in items} == set(one.operations or ("copy",))
    if one.regroups:
        assert all(item.needs_regrouping for item in items)
    if one.key.endswith("-plain"):
        assert not any(item.needs_regrouping for item in items)


def test_zeros_are_crossed_only_where_the_step_asks_for_it():
    for key, kinds in KINDS.items():
        crossed = {kind.draw(Stream(key, index)).zeros_crossed for kind in kinds for index in range(20)}
        assert crossed == ({1} if key == "sub-3d-zeros" else {0})


def test_written_subtractions_tell_the_wrong_way_round_apart():
    # Source: trade-five-apart (COMPUTED): a bottom digit 5 above the top digit gives the right digit either way round.
    kind = KINDS["sub-2d-regroup"][0]

    for index in range(200):
        item = kind.draw(Stream("five", index))
        assert abs(item.top % 10 - item.bottom % 10) != item.answer % 10


def test_items_to_avoid_are_avoided():
    kind = ItemKind("+", "1", "d", digits=1)
    all_but_one = tuple(Problem("+", 1, digit) for digit in range(1, 8))

    assert kind.draw(Stream("avoid"), avoid=all_but_one) == Problem("+", 1, 8)


def test_kind_without_items_says_so(monkeypatch):
    monkeypatch.setattr("tracker.measures.sheets.plans.ATTEMPTS", 50)

    with pytest.raises(RuntimeError, match="no item of the kind"):
        ItemKind("+", "d", "d", digits=4).draw(Stream("none"))

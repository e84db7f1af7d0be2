"""Printed sheets: rows as the sheets are planned, what stays open for the child, keys with running totals."""

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.class_scene import make_class_scene
from tracker.actions.sheets import sheet_for
from tracker.measures.sheets import timed_sheet
from tracker.models import School, Sheet, SheetItem
from tracker.progress.pile import pile, printed_sheets


def printed(*items, seconds=120):
    sheet = Sheet(pk=1, name="Own sheet", code="X", seconds=seconds)
    rows = [
        SheetItem(sheet_id=1, number=n, operation=operation, top=top, bottom=bottom, unknown=unknown, answer=answer,
                  running_digits=n)
        for n, (operation, top, bottom, unknown, answer) in enumerate(items, 1)
    ]  # fmt: skip
    return printed_sheets([sheet], School(), rows)[1]


@pytest.mark.parametrize(
    ("operation", "top", "bottom", "unknown", "answer", "shown"),
    [
        ("+", 27, 14, "answer", "41", ("27", "+", "14", "")),
        ("-", 62, 38, "answer", "24", ("62", "−", "38", "")),
        ("x", 6, 7, "answer", "42", ("6", "×", "7", "")),
        ("/", 42, 6, "answer", "7", ("42", "÷", "6", "")),
        ("+", 27, 14, "bottom", "14", ("27", "+", "", "41")),
        ("-", 62, 38, "top", "62", ("", "−", "38", "24")),
        ("copy", 507, None, "answer", "507", ("507", "", "", "")),
    ],
)
def test_item_leaves_open_what_the_child_writes(operation, top, bottom, unknown, answer, shown):
    (item,) = printed((operation, top, bottom, unknown, answer)).items

    assert (item.top, item.sign, item.bottom, item.answer) == shown
    assert item.key == answer


@pytest.mark.parametrize(("seconds", "words"), [(None, ""), (60, "1 min"), (120, "2 min"), (90, "90 s")])
def test_minutes_are_for_whoever_gives_it(seconds, words):
    assert printed(("+", 2, 3, "answer", "5"), seconds=seconds).minutes == words


@pytest.mark.django_db
@pytest.mark.parametrize("key", ["add-facts-10", "sub-facts-20", "times-all", "add-tens", "mixed-2d", "sub-3d-zeros"])
def test_rows_are_those_of_the_planned_sheet(key):
    sheet = sheet_for(school=builders.make_school(), skill_key=key, form=1, at=NOW)

    made = printed_sheets([sheet], sheet.school, sheet.items.all())[sheet.pk]

    assert made.columns == timed_sheet(key, 1).items_per_row
    assert len(made.items) % made.columns == 0


@pytest.mark.django_db
def test_running_totals_are_the_digits_of_the_answers_so_far():
    sheet = sheet_for(school=builders.make_school(), skill_key="add-3d-regroup", form=1, at=NOW)

    items = printed_sheets([sheet], sheet.school, sheet.items.all())[sheet.pk].items

    assert [item.running for item in items] == [sum(len(one.key) for one in items[: n + 1]) for n in range(len(items))]


@pytest.mark.django_db
def test_pile_tells_who_sits_it_without_time_and_sorts_the_keys():
    scene = make_class_scene()
    timed, untimed = builders.make_pupil(scene.group), builders.make_pupil(scene.group, "Zoë", no_timed_checks=True)
    check = scene.plan((timed, "sub-2d-regroup"), (untimed, "add-tens"))

    made = pile(scene.viewer, check)

    assert [(leaf.name, leaf.untimed) for leaf in made.leaves] == [("Anouk Verhaegen", False), ("Zoë Verhaegen", True)]
    assert [key.skill for key in made.keys] == ["Add tens", "Subtract two-digit numbers, with regrouping"]


@pytest.mark.django_db
def test_pile_of_a_check_that_is_all_in_prints_everything_again():
    scene = make_class_scene()
    check = scene.plan((builders.make_pupil(scene.group), "add-tens"))
    check.attempts.update(status="done", correct=30, wrong=0, omitted=0)

    assert len(pile(scene.viewer, check).leaves) == 1

"""Cells of the gradebook: what number stands over which ruling."""

import pytest

from tests import builders
from tests.web.class_scene import make_class_scene
from tracker.progress.gradebook import Cell, cell, gradebook
from tracker.queries.standings import Stand, Step


def stand(stage, *, rate=None, last=None, pooled=None):
    return Stand(1, Step("add-tens", "skill", 5), stage, 4, None, rate, last, pooled, None)


@pytest.mark.parametrize(
    ("row", "shown"),
    [
        (stand("learning", rate=12.0, last=0.5, pooled=0.746), Cell("learning", "75 %")),
        (stand("learning", rate=12.0, last=0.5), Cell("learning", "50 %")),
        (stand("quicker", rate=14.4, last=1.0, pooled=0.97), Cell("quicker", "14")),
        (stand("secure", rate=38.6, pooled=0.97), Cell("secure", "39")),
        (stand("secure", last=0.98, pooled=0.96), Cell("secure", "96 %")),
        (stand("few", rate=9.0, last=0.9), Cell("few", "9")),
        (stand("few"), Cell("few", "–")),
    ],
)
def test_cell_shows_accuracy_first_and_then_the_rate(row, shown):
    assert cell(row) == shown


@pytest.mark.django_db
def test_gradebook_marks_each_kind_once_a_child():
    scene = make_class_scene()
    one, two = builders.make_pupils(scene.group, 2)
    for key in ("add-tens", "sub-tens"):
        builders.make_flag(one, key, kind="accuracy-low")
    builders.make_flag(one, "add-tens", kind="no-recent-check")
    builders.make_flag(two, state="closed", ended_at=builders.NOW, ended_why="talked about")

    book = gradebook(scene.viewer, scene.group)

    assert [sorted(flag.kind for flag in row.flags) for row in book.rows] == [["accuracy-low", "no-recent-check"], []]


@pytest.mark.django_db
def test_gradebook_leaves_no_cell_out():
    scene = make_class_scene()
    one, _two = builders.make_pupils(scene.group, 2)
    builders.make_standing(one, "add-tens")

    assert [row.cells for row in gradebook(scene.viewer, scene.group).rows] == [
        (Cell("quicker", "14"),),
        (Cell("", ""),),
    ]

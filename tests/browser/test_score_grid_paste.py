"""Columns from a spreadsheet, pasted into the grid."""

import pytest
from playwright.sync_api import expect

from tests import builders as make
from tests.browser.score_grid import Grid, counts, paste
from tests.web.score_grids import make_scene

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def now(at_time):
    at_time(make.NOW)


@pytest.fixture
def grid_of(page, sign_in):
    def opened(scene):
        sign_in(page, scene.teacher)
        return Grid(page, scene).open()

    return opened


def test_columns_from_a_spreadsheet_fill_down(grid_of):
    scene = make_scene(*(f"Pupil{n} Name{n}" for n in range(5)))
    grid = grid_of(scene)

    paste(grid, 0, "30\t1\r\n٣١\t0\r\n\t\r\n33.0\t2\r\n")
    grid.saved(3)
    expect(grid.page.locator("[data-notice-text]")).to_have_text("Rows filled: 4.")

    assert counts(scene) == [
        ("done", 30, 1),
        ("done", 31, 0),
        ("due", None, None),
        ("done", 33, 2),
        ("due", None, None),
    ]


def test_one_column_after_the_other(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)

    paste(grid, 0, "30\n31")
    expect(grid.box(1)).to_have_value("31")
    assert counts(scene) == [("due", None, None)] * 2
    paste(grid, 0, "1\n2", "wrong")
    grid.saved(2)

    assert counts(scene) == [("done", 30, 1), ("done", 31, 2)]


def test_bad_cells_are_marked_and_nothing_pasted_is_lost(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)

    paste(grid, 0, "30\t1\n3x\t0\n32\t1\n33\t0")

    grid.saved(1)
    expect(grid.row(1)).to_contain_text("“3x” is not a whole number; type digits only.")
    expect(grid.box(1)).to_have_value("3x")
    expect(grid.page.locator("[data-notice-text]")).to_have_text(
        "Rows filled: 2. There were more lines than rows; these are not used: 32 1 33 0"
    )
    assert counts(scene) == [("done", 30, 1), ("due", None, None)]


def test_third_column_is_the_time(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)

    paste(grid, 0, "30\t1\t90\n31\t0\t")
    grid.saved(2)

    assert [scene.row(n).seconds for n in (0, 1)] == [90, scene.row().sheet.seconds]

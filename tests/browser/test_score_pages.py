"""The pages around the grid: closing, covering, phones, no scripts, and every way of looking."""

import re

import pytest
from playwright.sync_api import expect

from tests import builders as make
from tests.browser.score_grid import LOST, Grid, counts
from tests.web.score_grids import close, cover_for, make_scene

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


def test_check_is_closed_after_one_question(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry", "Carys Dunmore")
    grid = grid_of(scene)
    grid.box(0).focus()
    grid.enter(30, 1)

    grid.page.get_by_role("button", name="Close the check and see the class").dblclick()
    asked = grid.page.locator("[data-closing]")
    expect(asked).to_contain_text("2 rows are still due.")
    expect(asked).to_contain_text("Bilal Chaudry")
    asked.get_by_role("button", name="Close the check without them").click()

    expect(grid.page).to_have_url(re.compile(f"/checks/{scene.check.public_id}/$"))
    assert counts(scene) == [("done", 30, 1), ("not-given", None, None), ("not-given", None, None)]


def test_check_stays_open_while_a_row_waits(grid_of):
    scene = make_scene("Anouk Verhaegen")
    grid = grid_of(scene)
    grid.page.watch.allow(LOST)
    grid.page.context.set_offline(True)
    grid.box(0).focus()
    grid.enter(30, 1)
    grid.kept(1)

    grid.page.get_by_role("button", name="Close the check and see the class").click()
    expect(grid.page.locator("[data-notice]")).to_contain_text("Some rows are not saved yet.")
    grid.page.context.set_offline(False)
    grid.saved(1)
    scene.check.refresh_from_db()
    assert scene.check.state == "open"


def test_covering_teacher_types_and_sees_nothing_else(page, sign_in):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    make.make_history(scene.pupils[0], [(60, 1)] * 3)
    sign_in(page, cover_for(scene))
    grid = Grid(page, scene).open()
    grid.box(0).focus()

    grid.enter(3, 0)
    grid.saved(1)

    expect(grid.row(0).locator("[data-say]")).to_have_text("Please check this entry.")
    expect(grid.row(0).locator("[data-stage]")).to_have_count(0)
    expect(page.get_by_role("button", name="Close the check and see the class")).to_have_count(0)
    # One way leads on from here: back to the list of what may be typed today.
    ways = page.locator("main a:visible").evaluate_all("links => links.map((link) => link.getAttribute('href'))")
    assert ways == ["/today/"]


def test_touch_has_buttons_of_a_fingers_width_under_the_row_in_hand(open_page, sign_in):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry", "Carys Dunmore")
    page = open_page(has_touch=True, is_mobile=True, viewport={"width": 360, "height": 740})
    sign_in(page, scene.teacher)
    grid = Grid(page, scene).open()

    grid.box(0).tap()
    buttons = grid.row(0).locator("[data-do]")
    expect(buttons).to_have_text(["Absent", "Stopped", "Clear"])
    sizes = [buttons.nth(n).bounding_box() for n in range(3)]
    assert all(size["height"] >= 44 and size["width"] >= 44 for size in sizes)
    assert grid.box(0).get_attribute("inputmode") == "numeric"
    buttons.nth(0).tap()
    expect(grid.box(1)).to_be_focused()
    expect(grid.row(0)).to_contain_text("absent")
    grid.type("12")
    grid.row(1).get_by_role("button", name="Clear").tap()
    expect(grid.box(1)).to_have_value("")
    grid.left(2)

    assert page.evaluate("document.documentElement.scrollWidth") == 360


def test_plain_form_works_without_scripts(open_page, sign_in):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry", "Carys Dunmore")
    page = open_page(java_script_enabled=False)
    page.watch.allow(r"422 POST|status of 422")
    sign_in(page, scene.teacher)
    ids = [scene.row(n).public_id for n in range(3)]
    page.goto(scene.url())

    page.fill(f"[name=first-{ids[0]}]", "30")
    page.fill(f"[name=wrong-{ids[0]}]", "1")
    page.fill(f"[name=first-{ids[1]}]", "3x")
    page.fill(f"[name=wrong-{ids[1]}]", "0")
    page.select_option(f"[name=status-{ids[2]}]", "absent")
    page.get_by_role("button", name="Save all rows").click()
    expect(page.get_by_role("alert")).to_contain_text("1 row needs another look; the others are saved.")
    expect(page.locator(f"[name=first-{ids[1]}]")).to_have_value("3x")
    assert counts(scene) == [("done", 30, 1), ("due", None, None), ("absent", None, None)]

    page.fill(f"[name=first-{ids[1]}]", "")
    page.fill(f"[name=wrong-{ids[1]}]", "")
    page.get_by_role("button", name="Close the check and see the class").click()
    expect(page.get_by_role("alert")).to_contain_text("1 row is still due.")
    page.get_by_role("button", name="Close the check without them").click()
    expect(page).to_have_url(re.compile(f"/checks/{scene.check.public_id}/$"))
    assert counts(scene) == [("done", 30, 1), ("not-given", None, None), ("absent", None, None)]


def test_axe_finds_nothing_in_any_way_of_looking(page, sign_in, variants, axe):
    scene = make_scene("Anouk Verhaegen", "مريم حداد", "Carys Dunmore")
    make.make_history(scene.pupils[0], [(60, 1)] * 3)
    sign_in(page, scene.teacher)
    grid = Grid(page, scene).open()
    grid.box(0).focus()
    grid.enter(3, 0)
    grid.press("/")
    grid.saved(1)

    for variant in variants(page, scene.url()):
        grid.box(2).focus()
        axe(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= variant.width, str(variant)


def test_axe_finds_nothing_on_the_closed_check(page, sign_in, variants, axe):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    close(scene)
    sign_in(page, scene.teacher)

    for _ in variants(page, scene.url()):
        axe(page)
    for _ in variants(page, scene.url("group-correct", scene.row().public_id)):
        axe(page)

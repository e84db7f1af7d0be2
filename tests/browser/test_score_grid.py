"""The score grid in the hand: keys counted, names found, entries in doubt."""

import pytest
from playwright.sync_api import expect

from tests import builders as make
from tests.browser.score_grid import Grid, counts
from tests.web.score_grids import make_scene
from tracker.models import SaveKey

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


def test_class_of_thirty_takes_the_digits_and_one_enter_a_box(grid_of):
    scene = make_scene(*(f"Pupil{n:02d} Name{n:02d}" for n in range(30)))
    scores = [(20 + n, n % 3) for n in range(30)]
    grid = grid_of(scene)
    grid.box(0).focus()

    for first, wrong in scores:
        grid.enter(first, wrong)
    grid.saved(30)

    digits = sum(len(f"{first}{wrong}") for first, wrong in scores)
    assert grid.pressed == digits + 2 * 30
    assert counts(scene) == [("done", first, wrong) for first, wrong in scores]
    grid.left(0)
    expect(grid.page.locator("[data-notice-text]")).to_have_text("Every row is in.")
    assert SaveKey.objects.count() == 30


def test_letters_jump_through_an_unsorted_pile(grid_of):
    scene = make_scene("Łukasz Ó’Brien", "Inês Kovač", "Ine Albers", "Zoë d'Arcy")
    grid = grid_of(scene)
    found = grid.page.locator("[data-found]")

    grid.type("zoe")
    expect(grid.box(3)).to_be_focused()
    grid.enter(31, 0)
    grid.type("obr")
    expect(grid.box(0)).to_be_focused()
    expect(grid.page.locator("#find")).to_have_value("obr")
    grid.enter(28, 1)
    grid.type("ine")
    expect(found).to_have_text("Inês Kovač, 1 of 2: arrow down for the next")
    grid.press("ArrowDown")
    expect(grid.box(2)).to_be_focused()
    grid.press("ArrowUp")
    expect(grid.box(1)).to_be_focused()
    grid.press("s")
    expect(found).to_have_text("Inês Kovač")
    grid.press("Escape")
    expect(grid.page.locator("#find")).to_have_value("")
    expect(grid.box(1)).to_be_focused()
    grid.enter(33, 2)
    grid.saved(3)

    assert counts(scene) == [("done", 28, 1), ("done", 33, 2), ("due", None, None), ("done", 31, 0)]


def test_letters_without_a_name_say_so_and_can_be_taken_back(grid_of):
    grid = grid_of(make_scene("Anouk Verhaegen", "Bilal Chaudry"))
    grid.box(0).focus()

    grid.type("bx")
    expect(grid.page.locator("[data-found]")).to_have_text("No name begins with “bx”.")
    grid.press("Backspace")
    expect(grid.box(1)).to_be_focused()
    expect(grid.box(1)).to_have_value("")


def test_namesakes_still_due_come_first(grid_of):
    scene = make_scene("Anna Zhou", "Anna Zhou")
    grid = grid_of(scene)
    grid.box(0).focus()
    grid.enter(30, 1)
    grid.saved(1)

    grid.type("anna")

    expect(grid.box(1)).to_be_focused()


def test_absent_stopped_and_open_again(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry", "Carys Dunmore")
    grid = grid_of(scene)
    grid.box(0).focus()

    grid.press("/")
    expect(grid.box(1)).to_be_focused()
    grid.press("*")
    grid.enter(12, 1)
    grid.press("*", "Enter", "Enter")
    grid.left(0)
    expect(grid.row(2)).to_contain_text("stopped")
    grid.saved(1)
    assert counts(scene) == [("absent", None, None), ("stopped", 12, 1), ("stopped", None, None)]

    grid.box(0).focus()
    grid.press("Backspace")
    grid.left(1)
    expect(grid.row(0).locator("[data-mark]")).to_be_hidden()
    grid.enter(30, 0)
    grid.saved(2)
    assert counts(scene)[0] == ("done", 30, 0)


def test_keys_walk_up_down_and_back(grid_of):
    grid = grid_of(make_scene("Anouk Verhaegen", "Bilal Chaudry"))
    grid.box(0).focus()

    grid.press("ArrowDown")
    expect(grid.box(1)).to_be_focused()
    grid.press("Shift+Enter")
    expect(grid.box(0, "wrong")).to_be_focused()
    grid.press("ArrowDown", "ArrowUp")
    expect(grid.box(0, "wrong")).to_be_focused()
    grid.press("Shift+Enter")
    expect(grid.box(0)).to_be_focused()
    expect(grid.page.locator("[data-notice]")).to_be_hidden()


def test_finished_sheet_asks_for_its_time_while_it_is_in_the_hand(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    holds = scene.row().sheet.digits_possible
    grid = grid_of(scene)
    grid.box(0).focus()

    grid.enter(holds, 0)
    expect(grid.box(0, "seconds")).to_be_focused()
    grid.type("95")
    grid.press("Enter")

    expect(grid.box(1)).to_be_focused()
    expect(grid.row(0).locator("[data-rate]")).to_contain_text(f"{holds * 60 / 95:.1f}")
    assert scene.row().seconds == 95


def test_times_that_differ_have_a_box_each(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)

    grid.page.get_by_role("button", name="Times differ").click()
    grid.box(0).focus()
    grid.enter(30, 1)
    expect(grid.box(0, "seconds")).to_be_focused()
    grid.type("100")
    grid.press("Enter")
    grid.enter(31, 1)
    grid.press("Enter")
    grid.saved(2)

    assert [scene.row(n).seconds for n in (0, 1)] == [100, scene.row().sheet.seconds]


def test_last_item_reached_is_the_schools_way(grid_of):
    scene = make_scene("Anouk Verhaegen", typing="reached-wrong")
    digits = scene.row().sheet.items.get(number=12).running_digits
    grid = grid_of(scene)
    grid.box(0).focus()

    grid.enter(12, 2)
    grid.saved(1)

    assert counts(scene) == [("done", digits - 2, 2)]


def test_doubtful_entry_is_said_in_words_and_confirmed(grid_of, axe):
    scene = make_scene("Anouk Verhaegen")
    make.make_history(scene.pupils[0], [(60, 1)] * 3)
    grid = grid_of(scene)
    grid.box(0).focus()

    grid.enter(3, 0)
    expect(grid.row(0)).to_contain_text("Please check this entry: usually about")
    expect(grid.row(0)).to_have_attribute("data-state", "doubt")
    axe(grid.page)
    grid.row(0).get_by_role("button", name="It is right as written").dblclick()

    expect(grid.row(0).locator("[data-say]")).to_be_hidden()
    expect(grid.row(0)).to_have_attribute("data-state", "done")
    assert (scene.row().confirmed, scene.row().correct) == (True, 3)


def test_refused_entry_stands_with_its_sentence_until_it_is_mended(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    holds = scene.row().sheet.digits_possible
    grid = grid_of(scene)
    grid.page.watch.allow(r"422 POST|status of 422")
    grid.box(0).focus()

    grid.enter(holds + 5, 0)
    expect(grid.row(0)).to_contain_text(f"This sheet holds {holds} digits; digits correct can be 0 to {holds}.")
    expect(grid.box(0)).to_have_attribute("aria-invalid", "true")
    expect(grid.box(0)).to_have_value(str(holds + 5))
    assert counts(scene)[0] == ("due", None, None)

    grid.page.once("dialog", lambda dialog: dialog.accept())
    grid.page.reload()
    expect(grid.box(0)).to_have_value(str(holds + 5))
    expect(grid.row(0)).to_contain_text(f"This sheet holds {holds} digits")
    grid.box(0).focus()
    grid.enter(30, 0)
    grid.saved(1)
    assert counts(scene)[0] == ("done", 30, 0)
    assert grid.stored() == []


def test_row_left_half_typed_says_what_is_missing_and_is_kept(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)
    grid.box(0).focus()

    grid.type("33")
    grid.press("ArrowDown")
    expect(grid.row(0)).to_contain_text("Type how many digits were wrong, 0 if none.")
    expect(grid.box(0, "wrong")).to_have_attribute("aria-invalid", "true")
    grid.page.once("dialog", lambda dialog: dialog.accept())
    grid.page.reload()
    expect(grid.box(0)).to_have_value("33")
    assert counts(scene)[0] == ("due", None, None)


def test_letters_in_a_box_are_never_stored(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)

    grid.box(0).evaluate("box => { box.value = '3x'; box.dispatchEvent(new Event('input', { bubbles: true })); }")
    expect(grid.row(0)).to_contain_text("“3x” is not a whole number; type digits only.")
    grid.box(0, "wrong").focus()
    grid.press("1", "Enter")

    expect(grid.box(1)).to_be_focused()
    expect(grid.box(0)).to_have_value("3x")
    assert counts(scene)[0] == ("due", None, None)
    assert grid.stored() == []
    grid.box(0).fill("")
    grid.box(0, "wrong").fill("")
    grid.box(1).focus()


def test_digits_of_other_scripts_are_read(grid_of):
    scene = make_scene("مريم حداد", "Bilal Chaudry")
    grid = grid_of(scene)
    grid.box(0).focus()

    grid.page.keyboard.insert_text("٣٣")
    grid.press("Enter")
    grid.page.keyboard.insert_text("۲")
    grid.press("Enter")
    grid.saved(1)

    assert counts(scene)[0] == ("done", 33, 2)

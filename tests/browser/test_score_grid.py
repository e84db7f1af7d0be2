"""The score grid in the hand: keys counted, connection lost, sign-in ended, two people on one row."""

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import Page, expect

from tests import builders as make
from tests.web.score_grids import Scene, close, cover_for, make_scene
from tracker.models import Attempt, Conflict, SaveKey

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LOST = r"ERR_INTERNET_DISCONNECTED|ERR_FAILED"


@pytest.fixture(autouse=True)
def now(at_time):
    at_time(make.NOW)


class Grid:
    """A page with the open grid, and the keys pressed on it."""

    def __init__(self, page: Page, scene: Scene) -> None:
        self.page, self.scene, self.pressed = page, scene, 0

    def open(self) -> "Grid":
        self.page.goto(self.scene.url())
        expect(self.page.locator("[data-find]")).to_be_visible()
        return self

    def row(self, number: int) -> Any:
        return self.page.locator(f'[data-row="{self.scene.row(number).public_id}"]')

    def box(self, number: int, name: str = "first") -> Any:
        return self.row(number).locator(f'input[name^="{name}-"]')

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)
            self.pressed += 1

    def type(self, text: str) -> None:
        self.press(*text)

    def enter(self, first: int, wrong: int) -> None:
        self.type(str(first))
        self.press("Enter")
        self.type(str(wrong))
        self.press("Enter")

    def left(self, number: int) -> None:
        expect(self.page.locator("[data-left]")).to_have_text(str(number))

    def saved(self, number: int) -> None:
        """Every row typed so far has been answered."""
        expect(self.page.locator("[data-kept]:visible")).to_have_count(0)
        expect(self.page.locator("tr[data-row] [data-accuracy]:not(:empty)")).to_have_count(number)

    def kept(self, number: int) -> None:
        expect(self.page.get_by_text("kept here, waiting for the connection")).to_have_count(number)

    def stored(self) -> list[str]:
        return self.page.evaluate("Object.entries(localStorage).map(([name, text]) => name + ' ' + text)")


@pytest.fixture
def grid_of(page: Page, sign_in: Callable[..., None]) -> Callable[[Scene], Grid]:
    def opened(scene: Scene) -> Grid:
        sign_in(page, scene.teacher)
        return Grid(page, scene).open()

    return opened


def counts(scene: Scene) -> list[tuple[Any, ...]]:
    rows = scene.check.attempts.order_by("pupil__sort_name")
    return list(rows.values_list("status", "correct", "wrong"))


def paste(grid: Grid, number: int, text: str, name: str = "first") -> None:
    """What a spreadsheet puts on the clipboard, pasted into a box."""
    grid.box(number, name).evaluate(
        """(box, text) => {
            box.focus();
            const clipboardData = new DataTransfer();
            clipboardData.setData("text/plain", text);
            box.dispatchEvent(new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true }));
        }""",
        text,
    )


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


def test_rows_typed_without_a_connection_are_sent_when_it_is_back(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry", "Carys Dunmore", "Dmitri Falk")
    grid = grid_of(scene)
    grid.page.watch.allow(LOST)
    grid.box(0).focus()
    grid.enter(30, 0)
    grid.saved(1)

    grid.page.context.set_offline(True)
    for first in (31, 32, 33):
        grid.enter(first, 1)
    grid.kept(3)
    expect(grid.page.locator("[data-notice]")).to_contain_text("No connection. Go on typing")
    expect(grid.page.locator("[data-waiting]")).to_have_text("Kept on this computer, not sent yet: 3")
    assert counts(scene)[1:] == [("due", None, None)] * 3

    grid.page.context.set_offline(False)
    grid.saved(4)
    expect(grid.page.locator("[data-notice-text]")).to_have_text("The connection is back; everything is saved.")
    assert counts(scene) == [("done", 30, 0), ("done", 31, 1), ("done", 32, 1), ("done", 33, 1)]
    assert grid.stored() == []


def test_rows_survive_a_reload_without_a_connection_to_the_server(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)
    grid.page.watch.allow(r"503|status of 503")
    grid.page.context.route("**/save/", lambda route: route.fulfill(status=503, body="busy"))
    grid.box(0).focus()
    grid.enter(30, 0)
    grid.kept(1)
    expect(grid.page.locator("[data-notice]")).to_contain_text("The server does not answer.")
    stored = grid.stored()

    grid.page.once("dialog", lambda dialog: dialog.accept())
    grid.page.reload()
    expect(grid.box(0)).to_have_value("30")
    grid.left(1)
    grid.kept(1)
    grid.page.context.unroute("**/save/")
    grid.page.evaluate("dispatchEvent(new Event('online'))")
    grid.saved(1)

    assert counts(scene)[0] == ("done", 30, 0)
    assert "Anouk" not in " ".join(stored)
    assert "Verhaegen" not in " ".join(stored)
    assert scene.teacher.public_id in stored[0]


def test_answer_that_was_lost_on_the_way_doubles_nothing(grid_of):
    """The server wrote the row, its answer never came, and the teacher typed another number meanwhile."""
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)
    grid.page.watch.allow(LOST)

    answers = []

    def lose_the_first_answer(route):
        answers.append(route.fetch())
        if len(answers) == 1:
            route.abort()
        else:
            route.fulfill(response=answers[-1])

    grid.page.context.route("**/save/", lose_the_first_answer)
    grid.box(0).focus()
    grid.enter(30, 0)
    grid.kept(1)
    assert counts(scene)[0] == ("done", 30, 0)
    grid.box(0).focus()
    grid.enter(35, 1)
    grid.saved(1)

    assert counts(scene)[0] == ("done", 35, 1)
    assert [answer.json()["state"] for answer in answers] == ["saved", "same", "saved"]
    assert (Conflict.objects.count(), scene.row().version) == (0, 2)


def test_sign_in_that_ended_in_the_middle_loses_nothing(grid_of, sign_in):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry", "Carys Dunmore")
    grid = grid_of(scene)
    grid.page.watch.allow(r"401 POST|status of 401")
    grid.box(0).focus()
    grid.enter(30, 0)
    grid.saved(1)

    Session.objects.all().delete()
    grid.enter(31, 0)
    grid.kept(1)
    grid.enter(32, 0)
    notice = grid.page.locator("[data-notice]")
    expect(notice).to_contain_text("Your sign-in has ended. What you typed is kept here.")
    link = notice.get_by_role("link", name="Sign in again")
    assert link.get_attribute("href") == f"/account/sign-in/?next={scene.url()}"
    assert counts(scene)[1:] == [("due", None, None)] * 2

    sign_in(grid.page, scene.teacher)
    grid.page.evaluate("dispatchEvent(new Event('focus'))")
    grid.saved(3)
    assert counts(scene) == [("done", 30, 0), ("done", 31, 0), ("done", 32, 0)]


def test_stale_token_is_replaced_once_and_nobody_notices(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)
    grid.page.watch.allow(r"403 POST|status of 403")
    grid.page.evaluate(
        "for (const f of document.querySelectorAll('[name=csrfmiddlewaretoken]')) f.value = 'x'.repeat(64)"
    )
    grid.box(0).focus()

    grid.enter(30, 0)
    grid.saved(1)

    assert counts(scene)[0] == ("done", 30, 0)
    expect(grid.page.locator("[data-notice]")).to_be_hidden()


def test_another_person_on_the_same_browser_neither_sends_nor_sees_the_rows(grid_of, sign_in):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    other = make.make_member(scene.school, "teacher", "Jun Castellanos")
    make.give_class(other, scene.group)
    grid = grid_of(scene)
    grid.page.watch.allow(LOST)
    grid.page.watch.allow(r"401 POST|status of 401")
    grid.page.context.set_offline(True)
    grid.box(0).focus()
    grid.enter(30, 0)
    grid.kept(1)

    sign_in(grid.page, other)
    grid.page.context.set_offline(False)
    expect(grid.page.locator("[data-notice]")).to_contain_text("Somebody else is signed in in this browser.")
    assert counts(scene)[0] == ("due", None, None)
    grid.page.once("dialog", lambda dialog: dialog.accept())
    grid.page.goto(scene.url())
    expect(grid.page.locator("[data-find]")).to_be_visible()
    expect(grid.box(0)).to_have_value("")
    grid.left(2)
    assert counts(scene)[0] == ("due", None, None)

    sign_in(grid.page, scene.teacher)
    grid.page.goto(scene.url())
    grid.saved(1)
    assert (counts(scene)[0], scene.row().entered_by) == (("done", 30, 0), scene.teacher)


def test_rows_older_than_a_week_are_forgotten(grid_of):
    scene = make_scene("Anouk Verhaegen")
    grid = grid_of(scene)
    grid.page.evaluate(
        "name => localStorage.setItem(name, JSON.stringify({ at: Date.now() - 7.1 * 86400000, url: '/', typed: {} }))",
        f"doublerule.row.{scene.teacher.public_id}.{scene.row().public_id}",
    )

    grid.page.reload()

    expect(grid.page.locator("[data-find]")).to_be_visible()
    assert grid.stored() == []


def test_signing_out_with_unsent_rows_asks_first(grid_of, axe):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)
    grid.page.watch.allow(LOST)
    grid.page.context.set_offline(True)
    grid.box(0).focus()
    grid.enter(30, 0)
    grid.kept(1)

    grid.page.get_by_role("button", name="Sign out").click()
    dialog = grid.page.get_by_role("dialog")
    expect(dialog).to_contain_text("Some rows are not saved yet")
    expect(dialog).to_contain_text("Kept on this computer, not sent yet: 1")
    axe(grid.page)
    dialog.get_by_role("button", name="Stay here").click()
    expect(dialog).to_be_hidden()
    assert len(grid.stored()) == 1

    grid.page.context.set_offline(False)
    grid.saved(1)
    grid.page.get_by_role("button", name="Sign out").click()
    expect(grid.page).to_have_url(re.compile("/account/sign-in/"))


def test_leaving_with_unsent_rows_asks_first(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)
    grid.page.watch.allow(LOST)
    grid.page.context.set_offline(True)
    grid.box(0).focus()
    grid.enter(30, 0)
    grid.kept(1)
    asked = []
    grid.page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))

    grid.page.close(run_before_unload=True)
    grid.page.wait_for_timeout(300)

    assert asked == ["beforeunload"]
    grid.page.context.set_offline(False)
    grid.saved(1)


def test_two_tabs_that_type_different_numbers_are_both_asked(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)
    second = Grid(grid.page.context.new_page(), scene).open()
    grid.box(0).focus()
    grid.enter(33, 1)
    grid.saved(1)
    grid.page.bring_to_front()

    second.page.bring_to_front()
    second.box(0).focus()
    second.enter(35, 0)
    expect(second.row(0)).to_contain_text("Two people typed this row. Which is right?")
    expect(second.row(0).locator("[name=take]")).to_contain_text(["33 correct, 1 wrong", "35 correct, 0 wrong"])
    expect(second.row(0).locator("[name=take] small")).to_contain_text(["you", "you"])
    expect(second.box(0)).to_have_value("33")
    assert counts(scene)[0] == ("done", 33, 1)

    second.row(0).get_by_role("button", name="35 correct, 0 wrong").click()
    expect(second.row(0).locator("[data-dispute]")).to_have_count(0)
    expect(second.box(0)).to_have_value("35")
    assert counts(scene)[0] == ("done", 35, 0)
    assert Conflict.objects.get().took_lost is True


def test_two_tabs_that_type_the_same_agree(grid_of):
    scene = make_scene("Anouk Verhaegen", "Bilal Chaudry")
    grid = grid_of(scene)
    second = Grid(grid.page.context.new_page(), scene).open()
    grid.box(0).focus()
    grid.enter(33, 1)
    grid.saved(1)

    second.page.bring_to_front()
    second.box(0).focus()
    second.enter(33, 1)
    second.saved(1)

    assert (counts(scene)[0], Conflict.objects.count()) == (("done", 33, 1), 0)


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


def test_row_typed_offline_while_the_check_was_closed_is_shown_and_not_lost(grid_of):
    scene = make_scene("Anouk Verhaegen")
    grid = grid_of(scene)
    grid.page.watch.allow(LOST)
    grid.page.watch.allow(r"422 POST|status of 422")
    grid.page.context.set_offline(True)
    grid.box(0).focus()
    grid.enter(30, 1)
    grid.kept(1)
    close(scene)

    grid.page.context.set_offline(False)
    expect(grid.row(0)).to_contain_text("This check is closed.")
    grid.page.once("dialog", lambda dialog: dialog.accept())
    grid.page.reload()
    expect(grid.row(0)).to_contain_text("“30, 1” was typed after the check was closed and is not saved.")
    grid.row(0).get_by_role("button", name="Forget it").click()
    assert grid.stored() == []
    assert counts(scene) == [("not-given", None, None)]


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
    expect(page.locator("main a:visible")).to_have_count(0)


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


def test_what_stays_in_the_browser_holds_ids_and_numbers_only(grid_of):
    scene = make_scene("Anouk Verhaegen")
    grid = grid_of(scene)
    grid.page.watch.allow(LOST)
    grid.page.context.set_offline(True)
    grid.box(0).focus()
    grid.enter(30, 1)
    grid.kept(1)

    entry = json.loads(grid.stored()[0].partition(" ")[2])
    assert entry["typed"] == {"status": "done", "correct": 30, "wrong": 1}
    assert entry["url"] == scene.save_url()
    assert set(entry) == {"check", "url", "base", "at", "key", "typed", "raw", "held", "tried", "before"}
    assert Attempt.objects.filter(status="done").count() == 0
    grid.page.context.set_offline(False)
    grid.saved(1)

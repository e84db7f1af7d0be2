"""Nothing typed is lost: no connection, no sign-in, an answer lost, two people on one row."""

import json
import re

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import expect

from tests import builders as make
from tests.browser.score_grid import LOST, Grid, counts
from tests.web.score_grids import close, make_scene
from tracker.models import Attempt, Conflict

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
    expect(second.row(0)).to_contain_text("Two entries were typed for this row. Which is right?")
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

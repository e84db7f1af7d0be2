"""Who stands in for a day enters that day's scores and sees nothing else; who has no part in the class sees nothing."""

import re
from dataclasses import dataclass

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests import builders as make
from tests.browser.entrance import come_in_by_code
from tests.browser.score_grid import Grid
from tests.web.score_grids import Scene, cover_for, make_scene
from tracker.actions import accounts
from tracker.models import Check, User
from tracker.web import clock

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

NAMES = ("Anouk Verhaegen", "Bilal Chaudry")


@dataclass
class Covered:
    scene: Scene
    cover: User
    code: str
    earlier: Check


@pytest.fixture
def covered(at_time, monkeypatch):
    """A class with three weeks behind it: beside a score of today its own teacher sees a stage and what is usual."""
    at_time(make.NOW)
    monkeypatch.setattr(accounts, "timezone", clock.timezone)
    scene = make_scene(*NAMES)
    for pupil in scene.pupils:
        make.make_history(pupil, [(30, 1)] * 3)
    cover = cover_for(scene)
    office = make.viewer(make.make_member(scene.school, "office", "Ottilie Brandt"), scene.school)
    code = accounts.make_code(user_id=cover.public_id, by=office, on=make.TODAY)
    return Covered(scene, cover, code, scene.group.checks.filter(state="closed").latest("on"))


@pytest.fixture
def addresses(covered):
    """Every page and every button of the class, its pupils and its check, by URL name."""
    scene, check = covered.scene, covered.scene.check
    group, pupil = scene.group.public_id, scene.pupils[0].public_id
    done = covered.earlier.attempts.get(pupil=scene.pupils[0])
    flag = make.make_flag(scene.pupils[0])
    return {
        "group-overview": reverse("group-overview", args=[group]),
        "group-check": scene.url("group-check"),
        "group-scores": scene.url(),
        "group-save": scene.save_url(1),
        "group-close": scene.url("group-close"),
        "earlier check": reverse("group-check", args=[group, covered.earlier.public_id]),
        "earlier scores": reverse("group-scores", args=[group, covered.earlier.public_id]),
        "group-correct": reverse("group-correct", args=[group, covered.earlier.public_id, done.public_id]),
        "pupil-progress": reverse("pupil-progress", args=[pupil]),
        "pupil-flag-seen": reverse("pupil-flag-seen", args=[pupil, flag.public_id]),
        "week-plan": reverse("week-plan", args=[group]),
        "week-change": reverse("week-change", args=[group, check.public_id]),
        "week-print": reverse("week-print", args=[group, check.public_id]),
        "sheet-print": reverse("sheet-print", args=[scene.row().sheet.public_id]),
        "roster-group": reverse("roster-group", args=[group]),
        "roster-pupil": reverse("roster-pupil", args=[pupil]),
    }


# Pages without an id, which other people open every day.
WITHOUT_ID = (
    "home-classes",
    "home-groups",
    "week-overview",
    "sheet-list",
    "roster-overview",
    "data-load",
    "data-export",
)
PRESSED = ("group-save", "group-close", "pupil-flag-seen")
SEND = """([address, token, sent]) => fetch(address, {
    method: "POST", headers: {"Content-Type": "application/json", "X-CSRFToken": token}, body: JSON.stringify(sent),
}).then((answer) => answer.status)"""
SCORE = {"user": "", "key": "strange-key", "base_version": 0, "typed": {"correct": 44, "wrong": 0}}


def opened(page, address):
    """The status of a page that is not there; whatever it says, it names nobody."""
    page.watch.allow(rf"404 .*{re.escape(address)}$")
    answer = page.goto(address)
    shown = page.content()
    assert "Verhaegen" not in shown
    assert "Chaudry" not in shown
    return answer.status


def pressed(page, address):
    """The status of a button or script that is sent by hand, with the token of a page of one's own."""
    page.watch.allow(rf"404 .*{re.escape(address)}$")
    token = page.locator("[name=csrfmiddlewaretoken]").first.get_attribute("value")
    return page.evaluate(SEND, [address, token, SCORE])


def nothing_there(page, addresses):
    """Statuses of all addresses, opened or pressed from one's own first page, where the token is."""
    statuses = {name: opened(page, path) for name, path in addresses.items() if name not in PRESSED}
    page.goto("/")
    return statuses | {name: pressed(page, addresses[name]) for name in PRESSED if name in addresses}


def test_covering_teacher_enters_todays_row_and_sees_nothing_of_the_past(page, open_page, sign_in, covered, axe):
    come_in_by_code(page, covered.cover.username, covered.code)
    expect(page.get_by_role("heading", name="Today’s check")).to_be_visible()
    expect(page.get_by_role("navigation", name="Main").get_by_role("link")).to_have_text(["Today’s check"])
    axe(page)
    page.get_by_role("link", name="Enter scores of Heron").click()
    expect(page.locator("[data-find]")).to_be_visible()

    grid = Grid(page, covered.scene)
    grid.type("ano")
    grid.enter(45, 1)
    grid.enter(3, 0)
    grid.saved(2)
    axe(page)
    # 45 of 46 digits in three minutes; both children had 30 in two minutes every week.
    expect(grid.row(0).locator("[data-rate]")).to_have_text("15.0")
    expect(grid.row(0).locator("[data-accuracy]")).to_have_text("98 %")
    expect(grid.row(1).locator("[data-say-text]")).to_have_text("Please check this entry.")
    nothing_of_the_past(page)
    page.reload()
    expect(grid.row(0).locator("[data-rate]")).to_have_text("15.0")
    nothing_of_the_past(page)

    own = open_page()
    sign_in(own, covered.scene.teacher)
    shown = Grid(own, covered.scene).open()
    expect(shown.row(0).locator("[data-stage]")).to_have_count(1)
    expect(shown.row(1).locator("[data-say-text]")).to_have_text(
        re.compile(r"usually about \d+ digits correct, now 3\.")
    )
    expect(own.get_by_role("button", name="Close the check and see the class")).to_be_visible()


def nothing_of_the_past(page):
    """No stage, no way to close, and no link to another page of the class; its own teacher's page has all three."""
    expect(page.locator("[data-stage]")).to_have_count(0)
    expect(page.get_by_role("button", name="Close")).to_have_count(0)
    links = page.locator("main a:visible")
    expect(links).to_have_count(1)
    expect(links).to_have_attribute("href", "/today/")
    expect(page.locator("main")).not_to_contain_text("usually")


def test_covering_teacher_finds_no_other_page(page, covered, addresses):
    come_in_by_code(page, covered.cover.username, covered.code)
    expect(page.get_by_role("heading", name="Today’s check")).to_be_visible()
    others = {name: path for name, path in addresses.items() if name not in ("group-scores", "group-save")}
    others |= {name: reverse(name) for name in WITHOUT_ID}

    assert nothing_there(page, others) == dict.fromkeys(others, 404)
    unchanged(covered)


def test_cover_ends_with_the_day_and_its_code_with_the_first_use(page, open_page, covered, at_time):
    at_time(make.NOW.replace(hour=23, minute=50))
    come_in_by_code(page, covered.cover.username, covered.code)
    page.get_by_role("link", name="Enter scores of Heron").click()
    expect(page.locator("main")).to_contain_text("Anouk Verhaegen")
    second = open_page()
    second.watch.allow("422")
    come_in_by_code(second, covered.cover.username, covered.code)
    expect(second.get_by_role("alert")).to_contain_text("A code works once")

    at_time(make.NOW.replace(day=21, hour=0, minute=10))
    assert opened(page, covered.scene.url()) == 404
    page.goto("/")
    expect(page.locator("main")).not_to_contain_text("Heron")


@pytest.mark.parametrize("who", ["teacher of another class", "parent"])
def test_somebody_else_finds_nothing_of_the_story(who, page, sign_in, covered, addresses):
    sign_in(page, somebody_else(covered.scene, who))

    # Sheets hold no names, so any teacher of the school may print one.
    expected = dict.fromkeys(addresses, 404) | ({"sheet-print": 200} if who != "parent" else {})
    assert nothing_there(page, addresses) == expected
    unchanged(covered)


def somebody_else(scene, who):
    if who == "parent":
        user = make.make_member(scene.school, "parent", "Rosa Quill")
        make.link_guardian(user, make.make_pupil(scene.group, "Oisín", "Quill"))
    else:
        user = make.make_member(scene.school, "teacher", "Ines Kowalczyk")
        make.make_class(scene.school, "Otter", teacher=user)
    return user


def unchanged(covered):
    covered.scene.check.refresh_from_db()
    assert covered.scene.check.state == "open"
    assert set(covered.scene.check.attempts.values_list("status", "version")) == {("due", 0)}
    assert covered.scene.pupils[0].flags.get().state == "open"

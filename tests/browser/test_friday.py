"""Friday afternoon: an unsorted pile of marked sheets on three skills, in the browser from the first key on."""

import random
import re
from datetime import timedelta

import pytest
from playwright.sync_api import expect

from tests import builders as make
from tests.browser.score_grid import LOST, Grid
from tests.web.score_grids import Scene
from tracker.actions.checks import PlannedRow, plan_check

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

NAMES = [
    "Aino Brandt", "Bilal Chaudry", "Carys Dunmore", "Dmitri Falk", "Efua Grant", "Farah Hamid", "Gwen Ilves",
    "Hugo Jansen", "Inês Kovač", "Jonah Lind", "Kiri Manu", "Leila Nasser", "Łukasz Ó’Brien", "Mila Petit",
    "Noor Quist", "Omar Rossi", "Pia Sato", "Quentin Tamm", "Rosa Ueda", "Sami Varga", "Tala Weiss", "Uma Xu",
    "Viggo Yilmaz", "Wren Zhou", "Anna Abel", "Anna Zander", "Bea Albu", "Chidi Bassey", "مريم حداد",
]  # fmt: skip
SKILLS = ["sub-2d-regroup"] * 22 + ["add-facts-20"] * 4 + ["year-3"] * 3
# What a hand types to find each name: letters without accents, and for namesakes a letter of the family name.
SOUGHT = {
    "Anna Abel": "anna a",
    "Anna Zander": "anna z",
    "Łukasz Ó’Brien": "luk",
    "Inês Kovač": "ines",
    "مريم حداد": "مري",
}
ABSENT = "Farah Hamid"
# Right on sums without regrouping, lost as soon as a ten has to be taken apart.
GAP = "Gwen Ilves"


@pytest.fixture
def scene(at_time):
    """A class that sat three weekly checks before. One pupil has been at the mark since the second of them and will be
    secure today; one gets half of the digits wrong, though nearly none without regrouping some weeks ago."""
    at_time(make.NOW)
    school = make.make_school()
    teacher = make.make_member(school, "teacher", "Mira Solberg")
    group = make.make_class(school, teacher=teacher)
    pupils = []
    for number, name in enumerate(NAMES):
        given, _, family = name.partition(" ")
        pupils.append(make.make_pupil(group, given, family, sort_name=f"{number:03d}"))
    for number, (pupil, key) in enumerate(zip(pupils, SKILLS, strict=True)):
        make.make_history(pupil, past(number), key)
    gap = pupils[NAMES.index(GAP)]
    make.make_history(gap, [(59, 1), (58, 2), (60, 0)], "sub-2d-plain", until=make.TODAY - timedelta(weeks=2))
    rows = [PlannedRow(pupil.public_id, key) for pupil, key in zip(pupils, SKILLS, strict=True)]
    by = make.viewer(teacher, school)
    check = plan_check(class_id=group.public_id, sat_on=make.TODAY, rows=rows, by=by, on=make.TODAY)
    return Scene(school, teacher, group, pupils, check)


def past(number):
    if NAMES[number] == GAP:
        return [(21, 20), (19, 21), (20, 19)]
    return [(50, 20), (80, 0), (80, 0)] if number == 0 else [(30 + number % 5, 1)] * 3


def counted(number):
    if NAMES[number] == GAP:
        return 20, 20
    return 80 if number == 0 else 30 + number % 6, number % 3


def pile():
    """28 sheets in the order in which they were handed in, each with what was counted on it."""
    sheets = [(number, name) for number, name in enumerate(NAMES) if name != ABSENT]
    random.Random(20).shuffle(sheets)
    return [(number, name, *counted(number)) for number, name in sheets]


def test_friday(page, sign_in, scene, axe):
    sign_in(page, scene.teacher)
    page.watch.allow(LOST)
    grid = Grid(page, scene).open()

    for place, (number, name, first, wrong) in enumerate(pile()):
        # The connection is lost while the tenth to the twelfth sheet are typed.
        page.context.set_offline(9 <= place < 12)
        grid.type(SOUGHT.get(name, name.split()[0].lower()))
        expect(grid.box(number)).to_be_focused()
        grid.enter(first, wrong)
        if place == 11:
            grid.kept(3)
    grid.type("farah")
    grid.press("/")
    grid.saved(28)
    grid.left(0)
    axe(page)

    stored = {row.pupil_id: (row.status, row.correct, row.wrong) for row in scene.check.attempts.all()}
    typed = {scene.pupils[number].pk: ("done", first, wrong) for number, _, first, wrong in pile()}
    assert stored == typed | {scene.pupils[NAMES.index(ABSENT)].pk: ("absent", None, None)}

    close_and_see(page, scene, axe)
    open_one_and_read_why(page, axe)
    see_it_among_those_seen(page)


def close_and_see(page, scene, axe):
    """Who became secure, and who to look at: one pupil, with the reason."""
    page.get_by_role("button", name="Close the check and see the class").click()
    expect(page).to_have_url(re.compile(f"/checks/{scene.check.public_id}/$"))
    expect(page.locator("main")).to_contain_text("28 done, 1 absent.")
    secure = part(page, "Became secure or kept").get_by_role("listitem")
    expect(secure).to_have_count(1)
    expect(secure).to_contain_text(re.compile("Aino Brandt.*Subtract two-digit numbers, with regrouping.*secure"))
    flagged = part(page, "Who to look at").get_by_role("listitem")
    expect(flagged).to_have_count(1)
    expect(flagged).to_contain_text(GAP)
    expect(flagged).to_contain_text("regrouping gap")
    axe(page)
    scene.check.refresh_from_db()
    assert scene.check.state == "closed"


def open_one_and_read_why(page, axe):
    """The counts are those of the three checks on each sheet, added up by hand."""
    part(page, "Who to look at").get_by_role("link", name=GAP).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(GAP)
    why = page.get_by_role("region", name="Reasons to look")
    expect(why).to_contain_text("50 % of the digits right here (59 of 119, 6 November to 20 November)")
    twin = "98 % on “Subtract two-digit numbers, no regrouping” (177 of 180, 16 October to 30 October)"
    expect(why).to_contain_text(twin)
    expect(why).to_contain_text("A reason to look, not a diagnosis.")
    axe(page)
    why.get_by_role("button", name="I have seen this").click()
    expect(why).to_contain_text(re.compile(r"Seen on \d+ \w+ by Mira Solberg\."))
    expect(why.get_by_role("button")).to_have_count(0)


def see_it_among_those_seen(page):
    page.get_by_role("link", name="This week").click()
    looking = part(page, "Who to look at")
    expect(looking.get_by_text("Nothing new.")).to_be_visible()
    expect(looking.get_by_role("link", name=GAP)).to_be_hidden()
    looking.get_by_text("1 pupil seen already").click()
    expect(looking.get_by_role("link", name=GAP)).to_be_visible()


def part(page, heading):
    """What stands together under a heading."""
    return page.locator(".looking > *", has=page.get_by_role("heading", name=heading))

"""Friday afternoon: an unsorted pile of marked sheets on three skills, in the browser from the first key on."""

import random
import re

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


@pytest.fixture
def scene(at_time):
    """A class that sat three weekly checks before; one pupil has long been at the mark and will be secure today."""
    at_time(make.NOW)
    school = make.make_school()
    teacher = make.make_member(school, "teacher", "Mira Solberg")
    group = make.make_class(school, teacher=teacher)
    pupils = []
    for number, name in enumerate(NAMES):
        given, _, family = name.partition(" ")
        pupils.append(make.make_pupil(group, given, family, sort_name=f"{number:03d}"))
    for number, (pupil, key) in enumerate(zip(pupils, SKILLS, strict=True)):
        make.make_history(pupil, [(80, 0)] * 3 if number == 0 else [(30 + number % 5, 1)] * 3, key)
    rows = [PlannedRow(pupil.public_id, key) for pupil, key in zip(pupils, SKILLS, strict=True)]
    by = make.viewer(teacher, school)
    check = plan_check(class_id=group.public_id, sat_on=make.TODAY, rows=rows, by=by, on=make.TODAY)
    return Scene(school, teacher, group, pupils, check)


def pile():
    """28 sheets in the order in which they were handed in, each with what was counted on it."""
    sheets = [(number, name) for number, name in enumerate(NAMES) if name != ABSENT]
    random.Random(20).shuffle(sheets)
    return [(number, name, 80 if number == 0 else 30 + number % 6, number % 3) for number, name in sheets]


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

    page.get_by_role("button", name="Close the check and see the class").click()
    expect(page).to_have_url(re.compile(f"/checks/{scene.check.public_id}/$"))
    expect(page.get_by_role("heading", name="Became secure or kept")).to_be_visible()
    expect(page.locator("main")).to_contain_text("Aino Brandt")
    scene.check.refresh_from_db()
    assert scene.check.state == "closed"

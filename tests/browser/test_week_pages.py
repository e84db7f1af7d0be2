"""Week, plan, gradebook, check and sheets as people meet them: accessible, by keyboard, without scripts, on paper."""

import re
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest

from tests import builders
from tests.builders import NOW
from tests.web.class_scene import ClassScene, make_class_scene
from tracker.models import Check, MasteryEvent, Sheet
from tracker.web import clock

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LOW = {"dates": ["2026-10-30", "2026-11-20"], "accuracy": 0.71, "right": 88, "total": 124}
PAGES = ("week", "plan", "change", "gradebook", "check", "sheets", "print", "sheet", "empty class")
MM = 96 / 25.4
PT = 96 / 72


@dataclass(frozen=True)
class Full:
    """A class on which every part of the pages shows."""

    scene: ClassScene
    open_check: Check
    closed: Check
    empty: str

    def path(self, page: str) -> str:
        group, check = self.scene.group.public_id, self.open_check.public_id
        return {
            "week": "/week/",
            "plan": f"/week/plan/{group}/",
            "change": f"/week/plan/{group}/checks/{check}/",
            "gradebook": f"/classes/{group}/?all=1",
            "check": f"/classes/{group}/checks/{self.closed.public_id}/",
            "sheets": "/sheets/",
            "print": f"/week/plan/{group}/checks/{check}/print/",
            "sheet": f"/sheets/{Sheet.objects.get(skill__key='missing-20').public_id}/print/",
            "empty class": f"/classes/{self.empty}/",
        }[page]


@pytest.fixture
def full(at_time: Any) -> Full:
    at_time(NOW)
    scene = make_class_scene()
    pupils = builders.make_pupils(scene.group, 6)
    long = builders.make_pupil(scene.group, "Maximiliana Theodora", "von Hohenberg-Wolkenstein zu Altenmarkt", grade=4)
    closed = builders.make_check(scene.group, on=builders.TODAY - timedelta(days=7), state="closed", closed_at=NOW)
    for pupil in (*pupils, long):
        attempt = builders.make_attempt(closed, pupil, correct=30, wrong=12)
        builders.make_standing(pupil, stage="learning", pooled_accuracy=0.7)
        builders.make_standing(pupil, "add-tens", "kept", secure_on=closed.on)
    builders.make_flag(long, "add-tens", kind="accuracy-low", evidence=LOW, check_sat=closed)
    builders.make_flag(pupils[0], "add-tens", kind="no-recent-check", evidence={"weeks": 4, "last_on": "2026-10-23"})
    builders.make_flag(pupils[1], "add-tens", kind="accuracy-low", evidence=LOW, state="acknowledged", seen_at=NOW)
    MasteryEvent.objects.create(
        school=scene.school, pupil=long, skill=attempt.skill, kind="secure", on=closed.on, attempt=attempt,
        mark_accuracy=0.95, mark_rate=20, mark_source="common-practice", mark_version=0,
        measures_version="test", recorded_at=NOW,
    )  # fmt: skip
    keys = ("add-tens", "missing-20", "divide-all", "copying", "year-3")
    open_check = scene.plan(*zip(pupils, keys, strict=False))
    return Full(scene, open_check, closed, builders.make_class(scene.school, "Wren", teacher=scene.teacher).public_id)


@pytest.fixture
def at_work(page: Any, sign_in: Any, full: Full) -> Any:
    assert clock.now() == NOW
    sign_in(page, full.scene.teacher)
    return page


@pytest.mark.parametrize("name", PAGES)
def test_page_is_accessible_in_every_way_of_looking(name, at_work, full, variants, axe):
    for variant in variants(at_work, full.path(name)):
        axe(at_work)
        wider = at_work.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert wider <= 0, f"{variant}: {wider} px wider than the window"


def test_plan_is_made_by_keyboard_alone(at_work, full):
    at_work.goto(full.path("plan"))
    at_work.locator("#id_sat_on").focus()
    at_work.evaluate("document.querySelector('#id_sat_on').value = '2026-11-27'")

    at_work.keyboard.press("Enter")
    at_work.wait_for_url("**/print/")

    check = Check.objects.get(on="2026-11-27")
    assert check.attempts.count() == 7


def test_plan_and_change_work_without_scripts(open_page, sign_in, full):
    page = open_page(java_script_enabled=False)
    sign_in(page, full.scene.teacher)
    page.goto(full.path("change"))
    row = page.locator(".plan-rows li", has_text="Pupil01 Name01")

    row.locator("select").select_option("sub-tens")
    row.locator("input[type=checkbox]").check()
    page.get_by_role("button", name="Save the plan").click()

    changed = full.open_check.attempts.get(pupil__given_name="Pupil01")
    assert (changed.skill.key, changed.seconds) == ("sub-tens", None)


def test_flags_that_were_seen_are_folded(at_work, full):
    at_work.goto("/week/")
    seen = at_work.get_by_text("Pupil02 Name02")

    assert not seen.is_visible()
    at_work.get_by_text("1 pupil seen already").click()
    assert seen.is_visible()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(
    ("key", "pages"), [("sub-2d-regroup", 2), ("missing-20", 2), ("add-facts-20", 2), ("copying", 2)]
)
def test_sheet_and_key_take_a_page_each(key, pages, paper, at_work, full):
    check = full.scene.plan((full.open_check.attempts.last().pupil, key), on=builders.TODAY + timedelta(days=7))
    at_work.goto(f"/sheets/{check.attempts.get().sheet.public_id}/print/")

    pdf = at_work.pdf(format=paper)

    assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == pages


@pytest.mark.parametrize("key", ["sub-2d-regroup", "missing-20", "divide-all", "copying"])
def test_sheet_has_large_digits_and_room_for_a_hand(key, at_work, full):
    check = full.scene.plan((full.open_check.attempts.last().pupil, key), on=builders.TODAY + timedelta(days=7))
    at_work.emulate_media(media="print")
    at_work.goto(f"/sheets/{check.attempts.get().sheet.public_id}/print/")

    room = at_work.locator(".item-answer, .item-box").first.bounding_box()
    digits = at_work.locator(".item-digits").first.evaluate("item => parseFloat(getComputedStyle(item).fontSize)")

    assert room["height"] >= 10 * MM
    assert digits >= 16 * PT


def test_ones_stand_under_ones(at_work, full):
    check = full.scene.plan(
        (full.open_check.attempts.last().pupil, "add-2d1d-regroup"), on=builders.TODAY + timedelta(7)
    )
    at_work.emulate_media(media="print")
    at_work.goto(f"/sheets/{check.attempts.get().sheet.public_id}/print/")

    ends = at_work.locator(".item").first.evaluate(
        """item => [...item.querySelectorAll('.item-digits')].map((digits) => {
            const text = digits.lastChild;
            const range = document.createRange();
            range.setStart(text, text.length - 1);
            range.setEnd(text, text.length);
            return Math.round(range.getBoundingClientRect().x);
        })"""
    )

    assert len(ends) == 2
    assert ends[0] == ends[1]

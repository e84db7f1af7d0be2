"""The page about one child in a browser: hiding the name, choosing a skill, and every way of looking."""

from datetime import date

import pytest
from playwright.sync_api import expect

from tests import builders
from tests.builders import NOW, TODAY
from tests.progress.settled import settle
from tracker.models import Break, Phase

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def today(at_time):
    at_time(NOW)


@pytest.fixture
def teacher():
    return builders.make_member(builders.make_school(), "teacher", "Ines Okafor")


@pytest.fixture
def child(teacher):
    """Ten checks, a break, a change of teaching, two flags and three skills."""
    school = teacher.memberships.get().school
    child = builders.make_pupil(builders.make_class(school, teacher=teacher))
    skill, year = builders.skill("sub-2d-regroup"), builders.year_of(school)
    Break.objects.create(school=school, year=year, name="Autumn", starts=date(2026, 10, 19), ends=date(2026, 10, 23))
    about = {"label": "small group", "reason": "teaching", "recorded_at": NOW}
    Phase.objects.create(school=school, pupil=child, skill=skill, began_on=date(2026, 11, 2), **about)
    builders.make_history(child, [(26 + n, 2) for n in range(10)])
    builders.make_history(child, [(20, 9)] * 4, key="sub-3d-regroup", until=date(2026, 11, 6))
    builders.make_history(child, [(70, 0)] * 3, key="add-tens", until=date(2026, 11, 6))
    builders.make_flag(child, kind="no-recent-check", evidence={"last_on": "2026-10-09", "weeks": 4})
    seen = {"state": "acknowledged", "seen_by": teacher, "seen_at": NOW, "raised_on": TODAY}
    builders.make_flag(child, "sub-3d-regroup", **seen)
    settle(child)
    return child


@pytest.fixture
def opened(page, sign_in, teacher, child):
    sign_in(page, teacher)
    page.goto(f"/pupils/{child.public_id}/")
    expect(page.locator("[data-chart-stage] .main-svg").first).to_be_visible()
    return page


def test_axe_finds_nothing_in_any_way_of_looking(page, sign_in, teacher, child, variants, axe):
    sign_in(page, teacher)
    for _ in variants(page, f"/pupils/{child.public_id}/"):
        expect(page.locator("[data-chart-paper]")).to_be_hidden()
        axe(page)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_the_name_hides_for_this_page_only(opened):
    switch = opened.get_by_role("button", name="Hide the name")
    switch.click()

    expect(opened.get_by_role("heading", level=1)).to_have_text("This pupil", use_inner_text=True)
    assert opened.title() == "This pupil · Doublerule"
    assert switch.get_attribute("aria-pressed") == "true"
    switch.click()
    expect(opened.get_by_role("heading", level=1)).to_have_text("Anouk Verhaegen", use_inner_text=True)
    assert opened.title() == "Anouk Verhaegen · Doublerule"

    switch.click()
    opened.reload()
    expect(opened.get_by_role("heading", level=1)).to_have_text("Anouk Verhaegen", use_inner_text=True)


def test_a_hidden_name_stays_hidden_on_the_way_to_another_skill_and_after_a_button(opened):
    opened.get_by_role("button", name="Hide the name").click()
    opened.get_by_role("link", name="Add tens").click()

    expect(opened.get_by_role("heading", name="Add tens")).to_be_visible()
    expect(opened.get_by_role("heading", level=1)).to_have_text("This pupil")
    opened.get_by_role("button", name="I have seen this").click()
    expect(opened.get_by_text("by Ines Okafor.")).to_have_count(2)
    expect(opened.get_by_role("heading", level=1)).to_have_text("This pupil")
    expect(opened.get_by_role("heading", name="Add tens")).to_be_visible()
    assert "Verhaegen" not in opened.content()


def test_paper_gets_the_drawn_chart(opened):
    opened.emulate_media(media="print")

    expect(opened.locator("[data-chart-paper] .chart-svg:visible")).to_have_count(1)
    expect(opened.locator("[data-chart-stage]")).to_be_hidden()


def test_without_scripts_a_link_hides_the_name_and_the_chart_is_drawn(open_page, sign_in, teacher, child):
    page = open_page(java_script_enabled=False)
    sign_in(page, teacher)
    page.goto(f"/pupils/{child.public_id}/")

    expect(page.locator(".chart-wide svg")).to_be_visible()
    page.get_by_role("link", name="Hide the name").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("This pupil")
    page.get_by_role("link", name="Show the name").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Anouk Verhaegen")


def test_a_finger_finds_every_button_and_link_in_the_ladder(open_page, sign_in, teacher, child):
    page = open_page(has_touch=True, viewport={"width": 360, "height": 780})
    sign_in(page, teacher)
    page.goto(f"/pupils/{child.public_id}/")

    sizes = page.eval_on_selector_all(
        "main .button:not([hidden]), main summary", "all => all.map(one => one.getBoundingClientRect().height)"
    )
    assert len(sizes) >= 4
    assert min(size for size in sizes if size) >= 44

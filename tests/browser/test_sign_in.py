"""Signing in as people do it: the second step set up, a printed code, and every page looked over by axe."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from tests import builders
from tests.builders import PASSWORD, TODAY
from tests.web.test_account_factor import one_time_code
from tracker.actions import accounts

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def school():
    return builders.make_school()


def fill_in(page, user):
    page.goto("/account/sign-in/")
    page.get_by_label("Sign-in name").first.fill(user.username)
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()


def test_staff_set_up_the_second_step_and_use_it(page, school, settings):
    settings.SECOND_FACTOR_FOR_STAFF = True
    head = builders.make_member(school, "head")
    fill_in(page, head)
    expect(page.get_by_role("heading", name="Set up your second step")).to_be_visible()
    square = page.get_by_role("img", name="Square to photograph")
    assert square.evaluate("image => image.complete && image.naturalWidth > 0")

    page.get_by_text("No camera?").click()
    secret = page.locator(".secret").inner_text()
    page.get_by_label("Code").fill(one_time_code(secret))
    page.get_by_role("button", name="Switch it on").click()
    expect(page.get_by_role("heading", name="Your spare codes")).to_be_visible()
    expect(page.locator(".spare-codes li")).to_have_count(10)
    page.get_by_role("link", name="I have kept them").click()
    expect(page.get_by_role("heading", name="Classes")).to_be_visible()

    page.get_by_role("button", name="Sign out").click()
    fill_in(page, head)
    expect(page.get_by_role("heading", name="The code from your app")).to_be_visible()
    page.get_by_label("Code").fill(one_time_code(secret))
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_role("heading", name="Classes")).to_be_visible()


def test_parent_comes_in_with_a_printed_code_once(page, open_page, school):
    office = builders.viewer(builders.make_member(school, "office"), school)
    parent = builders.make_member(school, "parent")
    builders.link_guardian(parent, builders.make_pupil(builders.make_class(school)))
    code = accounts.make_code(user_id=parent.public_id, by=office, on=TODAY)

    def use(page):
        page.goto("/account/sign-in/")
        page.get_by_label("Sign-in name").last.fill(parent.username)
        page.get_by_label("Code", exact=True).fill(code)
        page.get_by_role("button", name="Sign in with the code").click()

    use(page)
    expect(page.get_by_role("heading", name="Anouk Verhaegen")).to_be_visible()
    second = open_page()
    second.watch.allow("422")
    use(second)
    expect(second.get_by_role("alert")).to_contain_text("A code works once")


@pytest.mark.parametrize(
    ("role", "path"),
    [
        ("", "/account/sign-in/"),
        ("parent", "/account/sessions/"),
        ("parent", "/account/password/"),
        ("head", "/account/factor/"),
        ("head", "/account/factor/new/"),
        ("parent", "/family/"),
        ("head", "/classes/"),
        ("assistant", "/groups/"),
        ("cover", "/today/"),
        ("nobody", "/"),
    ],
)
def test_page_is_accessible_and_never_wider_than_the_screen(page, sign_in, axe, variants, school, role, path):
    if role:
        sign_in(page, person(school, role))
    for _ in variants(page, path):
        axe(page)
        assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


def person(school, role):
    """Somebody with something on their page. Cover lasts one day, the real one here."""
    today = timezone.now().date()
    user = builders.make_user()
    group = builders.make_class(school)
    pupil = builders.make_pupil(group)
    if role == "cover":
        builders.join(user, school, role, starts=today, ends=today)
        builders.give_class(user, group, cover=True, starts=today, ends=today)
        builders.make_attempt(builders.make_check(group, on=today), pupil)
    elif role != "nobody":
        builders.join(user, school, role)
        builders.link_guardian(user, pupil)
        builders.make_standing(pupil)
    return user


def test_signing_out_on_any_page_asks_while_typed_rows_wait(page, sign_in, at_time):
    at_time(builders.NOW)
    school = builders.make_school()
    teacher = builders.make_member(school, "teacher")
    builders.make_class(school, teacher=teacher)
    sign_in(page, teacher)
    page.goto("/week/")
    page.evaluate("(user) => localStorage.setItem(`doublerule.row.${user}.x`, '{}')", teacher.public_id)
    asked = []
    page.once("dialog", lambda dialog: (asked.append(dialog.message), dialog.dismiss()))

    page.get_by_role("button", name="Sign out").click()
    stayed = page.url
    page.once("dialog", lambda dialog: dialog.accept())
    page.get_by_role("button", name="Sign out").click()

    expect(page).to_have_url(re.compile("/account/sign-in/"))
    assert stayed.endswith("/week/")
    assert "not saved yet" in asked[0]

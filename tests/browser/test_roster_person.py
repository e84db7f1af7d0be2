"""An assistant's groups and a lost second factor, on a telephone and a desk, without scripts as well."""

import re

import pytest
from allauth.mfa.models import Authenticator
from playwright.sync_api import expect

from tests import builders as make
from tracker.models import GroupPlace, PupilGroup

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def now(at_time):
    at_time(make.NOW)


@pytest.fixture
def school():
    return make.make_school()


@pytest.fixture
def office(school):
    return make.make_member(school, "office", "Ottilie Brandt")


@pytest.fixture
def provider(school):
    """Somebody with a group of three, a long name, and a second factor."""
    user = make.make_member(school, "provider", "Maximiliane Oyelaran-Østergaard")
    Authenticator.objects.create(user=user, type="totp", data={})
    heron = make.make_class(school)
    pupils = [
        make.make_pupil(heron, given, family, school_ref=f"L-{number}")
        for number, (given, family) in enumerate([("Anouk", "Verhaegen"), ("ليلى", "حداد"), ("Bilal", "Chaudry")])
    ]
    group = PupilGroup.objects.create(school=school, name="Tuesday, counters", holder=user, starts=make.TODAY)
    for pupil in pupils[:2]:
        GroupPlace.objects.create(school=school, group=group, pupil=pupil, starts=make.TODAY)
    return user


def open_form(page, title):
    part = page.locator("details", has=page.locator("summary", has_text=re.compile(f"^{title}$")))
    part.locator("summary").click()
    return part


def test_person_reads_well_in_every_way_of_looking(page, sign_in, office, provider, variants, axe):
    sign_in(page, office)
    for _variant in variants(page, f"/roster/people/{provider.public_id}/"):
        page.locator("details").evaluate_all("all => all.forEach(one => { one.open = true })")
        axe(page)
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_pupil_is_put_into_a_group_and_the_form_waits_for_the_next(page, sign_in, office, provider):
    sign_in(page, office)
    page.goto(f"/roster/people/{provider.public_id}/")
    form = open_form(page, "Put a pupil into a group")
    form.get_by_label("Pupil").select_option(label="Bilal Chaudry (L-2)")
    form.get_by_role("button", name="Put in").click()

    expect(page.locator("#main")).to_contain_text("The pupil is in the group.")
    expect(page.locator("#put-in-group").get_by_label("Pupil")).to_be_focused()
    expect(page.locator("section", has_text="Small groups").get_by_role("link", name="Bilal Chaudry")).to_be_visible()
    assert "Bilal" not in page.url


def test_second_factor_is_reset_without_scripts(open_page, sign_in, office, provider):
    page = open_page(java_script_enabled=False)
    sign_in(page, office)
    page.goto(f"/roster/people/{provider.public_id}/")
    form = open_form(page, "Reset the second factor")
    form.get_by_label("I know for sure who is asking").check()
    form.get_by_role("button", name="Reset it").click()

    expect(page.locator("#main")).to_contain_text("The second factor was reset.")
    assert Authenticator.objects.count() == 0

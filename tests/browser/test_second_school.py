"""From `start_school` to the first closed check of a second school, by nothing but its pages."""

import re
from dataclasses import dataclass
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from tests import builders as make
from tests.browser.entrance import choose_password, come_in_by_code, open_form, set_up_second_step
from tracker.models import Attempt, ClassGroup, Pupil, School

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PUPILS = [("Aroha", "Tane", "LP-1"), ("Bram", "Oosterhuis", "LP-2"), ("Çağla", "Demir", "LP-3")]
CODE = re.compile(r"[0-9a-z]{4}-[0-9a-z]{4}-[0-9a-z]{4}")


@pytest.fixture
def today(at_time, settings):
    """The day it is: the command has no other clock than the computer's."""
    settings.SECOND_FACTOR_FOR_STAFF = True
    now = timezone.now()
    at_time(now)
    return now.date()


@dataclass
class First:
    """A school that was there before, with a class, a pupil and a closed check."""

    school: School
    group: ClassGroup
    pupil: Pupil
    done: Attempt

    def teachers_pages(self):
        group, check = self.group.public_id, self.done.check_sat.public_id
        return [
            reverse("group-overview", args=[group]),
            reverse("group-check", args=[group, check]),
            reverse("group-scores", args=[group, check]),
            reverse("group-correct", args=[group, check, self.done.public_id]),
            reverse("pupil-progress", args=[self.pupil.public_id]),
            reverse("week-plan", args=[group]),
            reverse("week-change", args=[group, check]),
            reverse("week-print", args=[group, check]),
        ]

    def offices_pages(self):
        return [
            reverse("roster-year", args=[make.year_of(self.school).public_id]),
            reverse("roster-group", args=[self.group.public_id]),
            reverse("roster-pupil", args=[self.pupil.public_id]),
            reverse("roster-erase", args=[self.pupil.public_id]),
            reverse("roster-person", args=[self.group.teachings.get().user.public_id]),
        ]


@pytest.fixture
def first():
    school = make.make_school()
    teacher = make.make_member(school, "teacher", "Mira Solberg")
    group = make.make_class(school, teacher=teacher)
    pupil = make.make_pupil(group, "Ottoline", "Ferrars", school_ref="HL-1")
    return First(school, group, pupil, make.make_history(pupil, [(30, 1)] * 3)[-1])


@pytest.fixture
def read(page):
    """Every page that the window of this test is shown, as it stands when it is there."""
    shown = []
    page.expose_binding("keepPage", lambda _, text: shown.append(text))
    page.add_init_script("addEventListener('DOMContentLoaded', () => keepPage(document.documentElement.outerHTML))")
    return shown


def start(today):
    """What the person at the server types, and the code that is printed for the office."""
    told = StringIO()
    call_command(
        "start_school",
        *("--no-input", "--code", "--timezone", "UTC", "--name", "Lindenfeld Primary", "--year-name", "This year"),
        *("--year-starts", str(today - timedelta(days=80)), "--year-ends", str(today + timedelta(days=200))),
        *("--office-name", "Ottilie Brandt", "--office-username", "ottilie"),
        stdout=told,
    )
    return CODE.search(told.getvalue())[0]


def test_second_school_from_its_start_to_its_first_closed_check(page, first, today, read, axe):
    come_in_by_code(page, "ottilie", start(today))
    choose_password(page)
    set_up_second_step(page)
    code = set_the_school_up(page, axe)
    assert {opened(page, address) for address in first.offices_pages()} == {404}
    page.get_by_role("button", name="Sign out").click()

    come_in_by_code(page, "jonna", code)
    choose_password(page, "four grey geese waiting")
    set_up_second_step(page)
    plan_todays_check(page)
    enter_three_scores(page)
    close_and_see_the_class(page)
    assert {opened(page, address) for address in first.teachers_pages()} == {404}

    names = {"Ottoline", "Ferrars", "HL-1", "Mira Solberg", "Heron", "Harbour Lane School"}
    assert len(read) > 40
    assert any("Oosterhuis" in text for text in read)
    assert {name for name in names for text in read if name in text} == set()


def set_the_school_up(page, axe):
    """Along the list of steps: a class, its teacher with a code, and three pupils."""
    expect(page.get_by_role("heading", name="Set-up")).to_be_visible()
    expect(page.get_by_text("What is there, and what is still missing before the first check.")).to_be_visible()
    page.locator("main").get_by_role("link", name="Classes").click()
    send(page, "Add a class", "Add the class", {"Name of the class": "Kestrel"})

    back_to_steps(page)
    page.locator("main").get_by_role("link", name="People").click()
    send(page, "Add a person", "Add the person", {"Name": "Jonna Ekdahl", "Sign-in name": "jonna"})
    page.get_by_role("link", name="Jonna Ekdahl").click()
    page.get_by_role("button", name="Make a one-time code").click()
    code = page.get_by_role("status").filter(has_text=CODE).inner_text()

    back_to_steps(page)
    page.get_by_role("link", name="Kestrel").click()
    send(page, "Give the class to a teacher", "Give the class", {"Teacher": "Jonna Ekdahl (jonna)"})
    for given, family, reference in PUPILS:
        typed = {"Given name": given, "Family name": family, "School reference": reference, "Grade": "3"}
        send(page, "Add a pupil", "Add the pupil", typed)
        expect(page.get_by_role("link", name=f"{given} {family}")).to_be_visible()
    back_to_steps(page)
    expect(page.get_by_text("Everything that checks need is there.")).to_be_visible()
    axe(page)
    return code


def send(page, title, button, typed):
    form = open_form(page, title)
    for label, value in typed.items():
        field = form.get_by_label(re.compile(f"^{label}"))
        if field.evaluate("field => field.tagName") == "SELECT":
            field.select_option(label=value)
        else:
            field.fill(value)
    form.get_by_role("button", name=button).click()
    expect(page.locator(".messages, [role=status], [role=alert]").first).to_be_visible()


def back_to_steps(page):
    page.get_by_role("navigation", name="Main").get_by_role("link", name="Set-up").click()
    expect(page.get_by_role("heading", name="Set-up")).to_be_visible()


def plan_todays_check(page):
    expect(page.get_by_role("heading", name="This week")).to_be_visible()
    page.get_by_role("link", name="Plan the next check").click()
    rows = page.get_by_role("list", name="Plan").get_by_role("listitem")
    expect(rows).to_have_count(3)
    page.get_by_label("Set for everyone").select_option(label="Addition facts to 20")
    page.get_by_role("button", name="Set", exact=True).click()
    page.get_by_role("button", name="Plan it and print the sheets").click()
    for given, family, _ in PUPILS:
        expect(page.get_by_role("listitem").filter(has_text=f"{given} {family}")).to_be_visible()
    page.get_by_role("link", name="Back to the check").click()
    page.get_by_role("link", name="Enter scores").click()


def enter_three_scores(page):
    """By keyboard from the field that waits for a name; one of the three was absent."""
    expect(page.locator("[data-find]")).to_be_visible()
    for keys in ("bram", "45", "Enter", "1", "Enter", "aro", "38", "Enter", "0", "Enter", "cag", "/"):
        if keys == "Enter":
            page.keyboard.press(keys)
        else:
            page.keyboard.type(keys)
    expect(page.locator("[data-left]")).to_have_text("0")
    expect(page.locator("form[data-scores]")).to_have_attribute("data-unsent", "0")


def close_and_see_the_class(page):
    page.get_by_role("button", name="Close the check and see the class").click()
    expect(page.locator("main")).to_contain_text("2 done, 1 absent.")
    expect(page.locator("main")).to_contain_text("This check raised no flag.")
    page.get_by_role("link", name="The gradebook").click()
    expect(page.get_by_role("heading", name="Kestrel")).to_be_visible()
    shown = page.get_by_role("rowheader").all_inner_texts()
    assert {f"{given} {family}" for given, family, _ in PUPILS} <= {" ".join(name.split()) for name in shown}


def opened(page, address):
    page.watch.allow(rf"404 .*{re.escape(address)}$")
    return page.goto(address).status

"""The way in, as a person at the sign-in page takes it."""

import re

from playwright.sync_api import Locator, Page, expect

from tests.builders import PASSWORD
from tests.web.test_account_factor import one_time_code


def come_in_by_code(page: Page, username: str, code: str) -> None:
    page.goto("/")
    expect(page.get_by_role("heading", name="Sign in", exact=True)).to_be_visible()
    door = page.get_by_role("region", name="With a printed code")
    door.get_by_label("Sign-in name").fill(username)
    door.get_by_label("Code", exact=True).fill(code)
    door.get_by_role("button", name="Sign in with the code").click()


def choose_password(page: Page, password: str = PASSWORD) -> None:
    expect(page.get_by_role("heading", name="Choose a password")).to_be_visible()
    page.get_by_label("New password", exact=True).fill(password)
    page.get_by_label("New password, once more").fill(password)
    page.get_by_role("button", name="Keep this password").click()


def set_up_second_step(page: Page) -> None:
    expect(page.get_by_role("heading", name="Set up your second step")).to_be_visible()
    page.get_by_text("No camera?").click()
    page.get_by_label("Code").fill(one_time_code(page.locator(".secret").inner_text()))
    page.get_by_role("button", name="Switch it on").click()
    page.get_by_role("link", name="I have kept them").click()


def open_form(page: Page, title: str) -> Locator:
    """One of a set-up page's small forms, opened by its title unless it stands open."""
    part = page.locator("details", has=page.locator("summary", has_text=re.compile(f"^{title}$")))
    if part.get_attribute("open") is None:
        part.locator("summary").first.click()
    return part

"""Pages in a real browser: every page is watched, and one that misbehaves fails its test."""

import os
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import product
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import axe_playwright_python
import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests import builders
from tests.conftest import chromium
from tests.pseudo import CODE

# Playwright runs a loop in this thread, and Django would refuse the database there. Only for tests.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

AXE = Path(axe_playwright_python.__file__).with_name("axe.min.js").read_text(encoding="utf-8")
LOCAL = {"localhost", "127.0.0.1"}
# Names other than this computer's are not even looked up.
ARGUMENTS = ["--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE localhost, EXCLUDE 127.0.0.1"]
REPORT_VIOLATIONS = """
document.addEventListener('securitypolicyviolation', (event) =>
    window.reportViolation(`${event.violatedDirective} ${event.blockedURI} on ${event.documentURI}`));
"""


@dataclass
class Watch:
    """What went wrong in one browser window, and what the test said would."""

    faults: list[str] = field(default_factory=list)
    allowed: list[str] = field(default_factory=list)

    def allow(self, pattern: str) -> None:
        """Expect faults in which the regular expression is found, such as r"404 .*/pupils/" or "ERR_INTERNET"."""
        self.allowed.append(pattern)

    def unexpected(self) -> list[str]:
        return [fault for fault in self.faults if not any(re.search(pattern, fault) for pattern in self.allowed)]

    def follow(self, context: BrowserContext) -> None:
        context.expose_binding("reportViolation", lambda _, text: self.faults.append(f"content policy: {text}"))
        context.add_init_script(REPORT_VIOLATIONS)
        context.on("response", self._response)
        context.on("request", self._request)
        context.on("console", self._console)
        context.on("weberror", lambda error: self.faults.append(f"script: {error.error}"))

    def _response(self, response: Any) -> None:
        if response.status >= 400:
            self.faults.append(f"{response.status} {response.request.method} {response.url}")

    def _request(self, request: Any) -> None:
        address = urlsplit(request.url)
        if address.scheme not in {"data", "blob", "about"} and address.hostname not in LOCAL:
            self.faults.append(f"left the host: {request.url}")

    def _console(self, message: Any) -> None:
        if message.type == "error":
            self.faults.append(f"console: {message.text} {message.location.get('url', '')}")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    # Chromium will not run its sandbox as root.
    extra = ["--no-sandbox"] if os.geteuid() == 0 else []
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium(), args=ARGUMENTS + extra)
        yield opened
        opened.close()


@pytest.fixture
def open_page(browser: Browser, live_server: Any) -> Iterator[Callable[..., Page]]:
    """Opens a window of its own, as for another person: `open_page(has_touch=True)`. Its `watch` may allow faults."""
    contexts: list[tuple[BrowserContext, Watch]] = []

    def open_one(**options: Any) -> Page:
        context, watch = browser.new_context(base_url=live_server.url, **options), Watch()
        context.set_default_timeout(10_000)
        watch.follow(context)
        contexts.append((context, watch))
        page = context.new_page()
        page.watch = watch
        return page

    yield open_one
    faults = [fault for context, watch in contexts for fault in _close(context, watch)]
    assert faults == []


def _close(context: BrowserContext, watch: Watch) -> list[str]:
    for page in context.pages:
        # One round trip, so that what the page still has to report arrives first.
        page.evaluate("1")
    context.close()
    return watch.unexpected()


@pytest.fixture
def page(open_page: Callable[..., Page]) -> Page:
    return open_page()


@pytest.fixture
def sign_in(live_server: Any) -> Callable[[Page, Any], None]:
    """Signs a person in without the sign-in page: `sign_in(page, user)`."""

    def sign_one_in(page: Page, user: Any) -> None:
        client = builders.sign_in(Client(), user)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME]
        page.context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server.url}])

    return sign_one_in


@pytest.fixture(scope="session")
def axe() -> Callable[[Page], None]:
    """Fails with every find of axe on the page as it stands: `axe(page)`."""

    def check(page: Page) -> None:
        page.evaluate(AXE)
        # The pseudo-language has a code that nobody speaks; every other must be a real one.
        rules = {"html-lang-valid": {"enabled": page.locator("html").get_attribute("lang") != CODE}}
        report = page.evaluate("rules => axe.run(document, {resultTypes: ['violations', 'passes'], rules})", rules)
        assert report["passes"], "axe looked at nothing"
        finds = [
            f"{rule['id']}: {rule['help']}: {node['html'][:200]} ({node.get('failureSummary', '')})"
            for rule in report["violations"]
            for node in rule["nodes"]
        ]
        if finds:
            pytest.fail("axe finds:\n" + "\n".join(finds))

    return check


@dataclass(frozen=True)
class Variant:
    """One way of looking at a page."""

    width: int
    scheme: str
    language: str

    @property
    def direction(self) -> str:
        return "rtl" if self.language == CODE else "ltr"

    def __str__(self) -> str:
        return f"{self.width}-{self.scheme}-{self.direction}"


VARIANTS = [Variant(*values) for values in product((360, 1280), ("light", "dark"), ("en", CODE))]


@pytest.fixture
def variants(live_server: Any) -> Callable[[Page, str], Iterator[Variant]]:
    """Opens a page in each way in turn: `for variant in variants(page, "/week/"): axe(page)`."""

    def each(page: Page, path: str) -> Iterator[Variant]:
        for variant in VARIANTS:
            language = {"name": settings.LANGUAGE_COOKIE_NAME, "value": variant.language, "url": live_server.url}
            page.context.add_cookies([language])
            page.set_viewport_size({"width": variant.width, "height": 800})
            page.emulate_media(color_scheme=variant.scheme)
            page.goto(path)
            assert page.locator("html").get_attribute("dir") == variant.direction
            yield variant

    return each

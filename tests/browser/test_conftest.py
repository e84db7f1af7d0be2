"""The watch over pages sees what it must: each fault is made on purpose, then allowed."""

import pytest
from django.http import HttpResponse
from django.test import override_settings
from django.urls import path
from django.utils.translation import get_language_bidi

from tests.builders import make_user
from tracker.models import User

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SOUND = "<!doctype html><html lang='en' dir='ltr'><title>Sound</title><main><h1>Sound</h1><p>A page.</p></main></html>"
POOR = "<!doctype html><html><title>Poor</title><img src='/static/img/favicon.svg'></html>"
INLINE = "<!doctype html><html lang='en'><title>Inline</title><script>document.title = 'ran'</script></html>"
ABROAD = "<!doctype html><html lang='en'><title>Abroad</title><img alt='' src='https://school.example/a.png'></html>"
FAULTY = "<!doctype html><html lang='en'><title>Faulty</title><script src='/faulty.js'></script></html>"

PAGES = {"sound": SOUND, "poor": POOR, "inline": INLINE, "abroad": ABROAD, "faulty": FAULTY}
urlpatterns = [
    path(f"{name}/", lambda request, text=text: HttpResponse(text), name=name) for name, text in PAGES.items()
]
urlpatterns += [
    path("who/", lambda request: HttpResponse(SOUND.replace("A page", request.user.get_username()))),
    path("directed/", lambda request: HttpResponse(SOUND.replace("ltr", "rtl" if get_language_bidi() else "ltr"))),
    path("faulty.js", lambda request: HttpResponse("throw new Error('it broke')", content_type="text/javascript")),
]


@pytest.fixture(autouse=True)
def own_pages():
    with override_settings(ROOT_URLCONF=__name__):
        yield


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("missing", "404 GET "),
        ("inline", "content policy: script-src"),
        ("abroad", "left the host: https://school.example/a.png"),
        ("faulty", "script: it broke"),
    ],
)
def test_a_fault_is_seen(page, name, fault):
    page.goto(f"/{name}/")
    page.wait_for_load_state("networkidle")

    assert any(fault in seen for seen in page.watch.unexpected()), page.watch.faults
    page.watch.allow(".*")


def test_an_allowed_fault_leaves_the_others(page):
    page.goto("/missing/")
    page.watch.allow(r"404 GET .*/missing/")

    assert all("404 GET" not in fault for fault in page.watch.unexpected())
    assert page.watch.faults != []
    page.watch.allow("missing|favicon")


def test_axe_finds_faults_and_passes_a_sound_page(page, axe):
    page.watch.allow("favicon")
    page.goto("/poor/")
    with pytest.raises(pytest.fail.Exception, match="image-alt"):
        axe(page)
    page.goto("/sound/")
    axe(page)


def test_variants_differ_in_width_scheme_and_direction(page, variants):
    page.watch.allow("favicon")
    seen = []
    for variant in variants(page, "/directed/"):
        dark = page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches")
        seen.append((str(variant), page.evaluate("innerWidth"), dark, page.evaluate("document.dir")))

    assert seen == [
        ("360-light-ltr", 360, False, "ltr"),
        ("360-light-rtl", 360, False, "rtl"),
        ("360-dark-ltr", 360, True, "ltr"),
        ("360-dark-rtl", 360, True, "rtl"),
        ("1280-light-ltr", 1280, False, "ltr"),
        ("1280-light-rtl", 1280, False, "rtl"),
        ("1280-dark-ltr", 1280, True, "ltr"),
        ("1280-dark-rtl", 1280, True, "rtl"),
    ]


def test_a_page_that_keeps_its_direction_is_no_variant(page, variants):
    page.watch.allow("favicon")
    ways = variants(page, "/sound/")
    next(ways)

    with pytest.raises(AssertionError):
        next(ways)


def test_a_person_is_signed_in_and_others_are_not(open_page, sign_in):
    one, other = open_page(), open_page()
    sign_in(one, make_user("Ada Quill"))
    for page in (one, other):
        page.watch.allow("favicon")
        page.goto("/who/")

    assert one.locator("p").inner_text() == f"{User.objects.get().username}."
    assert other.locator("p").inner_text() == "."

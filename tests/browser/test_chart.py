"""The chart in a browser under the content policy: plotly draws, keys walk, and the SVG stays where plotly can't."""

import pytest
from django.http import HttpResponse
from django.template import engines
from django.test import override_settings
from django.urls import path
from playwright.sync_api import expect

from tests.charts.charts_to_draw import kinds
from tracker.charts.page import chart_parts

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PAGE = """{% load i18n static %}{% get_current_language_bidi as rtl %}<!doctype html>
<html lang="en" dir="{% if rtl %}rtl{% else %}ltr{% endif %}"><head><title>Chart</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="icon" href="{% static 'img/favicon.svg' %}">{% include "parts/_styles.html" %}
<link rel="stylesheet" href="{% static 'css/parts/chart.css' %}">
<script defer src="{% static 'js/chart.js' %}"></script>
</head><body><div class="page"><main><h1>Chart</h1>{% include "parts/_chart.html" %}</main></div></body></html>"""


def drawn(request, name):
    parts = chart_parts(kinds()[name.replace("-", " ")], name="progress")
    return HttpResponse(engines["django"].from_string(PAGE).render({"chart": parts}, request))


def check(request, week):
    return HttpResponse(
        '<!doctype html><html lang="en"><head><title>Check</title><link rel="icon" href="/static/img/favicon.svg">'
        f"</head><body><main><h1>Check {week}</h1></main></body></html>"
    )


urlpatterns = [path("chart/<slug:name>/", drawn), path("checks/<int:week>/", check)]


@pytest.fixture(autouse=True)
def own_pages():
    with override_settings(ROOT_URLCONF=__name__):
        yield


def open_chart(page, name="busy"):
    page.goto(f"/chart/{name}/")
    expect(page.locator("[data-chart-stage] .main-svg").first).to_be_visible()
    expect(page.locator("[data-chart-paper]")).to_be_hidden()


@pytest.mark.parametrize("name", [name.replace(" ", "-") for name in kinds()])
def test_every_chart_draws_without_a_fault(page, name):
    open_chart(page, name)

    shown = page.locator("[data-chart-stage] .scatterlayer .points path")
    assert shown.count() == sum(
        len(trace["x"])
        for trace in chart_parts(kinds()[name.replace("-", " ")], name="x").payload["figures"]["wide"]["data"]
        if trace.get("customdata")
    )


def test_axe_finds_nothing_in_any_way_of_looking(page, variants, axe):
    for _ in variants(page, "/chart/busy/"):
        expect(page.locator("[data-chart-paper]")).to_be_hidden()
        axe(page)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_arrow_keys_walk_the_checks_and_enter_opens_one(page):
    open_chart(page)
    readout, ring = page.locator("[data-chart-readout]"), page.locator("[data-chart-stage] .scatterlayer .points path")
    before = ring.count()
    page.locator("[data-chart-stage]").focus()
    expect(readout).to_have_text("Arrow keys go from check to check, Enter opens one.")

    page.keyboard.press("ArrowRight")
    expect(readout).to_contain_text("Form 1, week 1, 11 September: 9 digits correct a minute, 3 wrong a minute")
    assert ring.count() == before + 1
    page.keyboard.press("End")
    expect(readout).to_contain_text("Form 17, week 17")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowLeft")
    expect(readout).to_contain_text("Form 16, week 16")
    page.keyboard.press("Home")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("Check 2")


def test_a_click_opens_the_check_and_hovering_names_it(page):
    open_chart(page)
    dot = page.locator("[data-chart-stage] .scatterlayer .points path").first
    box = dot.bounding_box()
    at = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.move(*at)
    expect(page.locator("[data-chart-stage] .hovertext")).to_contain_text("Form 1, week 1, 11 September")

    page.mouse.click(*at)
    expect(page.locator("h1")).to_have_text("Check 1")


def test_colours_follow_the_readers_scheme_at_once(page):
    open_chart(page)
    dot = page.locator("[data-chart-stage] .scatterlayer .points path").first
    page.emulate_media(color_scheme="light")
    expect(dot).to_have_css("fill", "rgb(27, 42, 74)")

    page.emulate_media(color_scheme="dark")
    ink = page.evaluate("getComputedStyle(document.body).color")
    assert ink != "rgb(27, 42, 74)"
    expect(dot).to_have_css("fill", ink)


def test_the_layout_follows_the_width(page):
    page.set_viewport_size({"width": 1280, "height": 800})
    open_chart(page)
    words = page.locator("[data-chart-stage] .infolayer")
    expect(words).to_contain_text("small group, blocks")

    page.set_viewport_size({"width": 360, "height": 800})
    expect(words).not_to_contain_text("small group, blocks")
    expect(page.locator(".chart-key")).to_contain_text("small group, blocks")
    assert page.evaluate("document.documentElement.scrollWidth") == 360


@pytest.mark.parametrize("missing", ["plotly-basic.min.js", "plotly-global.css"])
def test_the_svg_stays_when_plotly_does_not_arrive(page, missing):
    page.watch.allow(r"console: Failed to load resource")
    page.route(f"**/{missing}", lambda route: route.abort())
    page.goto("/chart/busy/")
    page.wait_for_load_state("networkidle")

    expect(page.locator("[data-chart-paper] .chart-svg:visible")).to_have_count(1)
    expect(page.locator("[data-chart-stage]")).to_be_hidden()


def test_without_scripts_svg_key_and_table_say_it_all(open_page):
    page = open_page(java_script_enabled=False)
    page.goto("/chart/busy/")

    expect(page.locator(".chart-svg:visible")).to_have_count(1)
    page.get_by_text("The same numbers as a table").click()
    expect(page.locator(".chart-table tbody tr")).to_have_count(15)
    expect(page.get_by_role("link", name="Form 16")).to_have_attribute("href", "/checks/16/")


def test_paper_gets_the_svg(page):
    open_chart(page)
    page.emulate_media(media="print")

    expect(page.locator(".chart-svg:visible")).to_have_count(1)
    expect(page.locator("[data-chart-stage]")).to_be_hidden()

"""The demo's year ends at this week whenever it is made."""

from datetime import date, timedelta

import pytest

from tracker.management.demo.calendar import Calendar

# A Monday, a Friday, both days of a weekend, and the turn of a year.
DAYS = [date(2026, 11, 16), date(2026, 11, 20), date(2026, 11, 21), date(2026, 11, 22), date(2027, 1, 1)]


@pytest.mark.parametrize("today", DAYS)
def test_last_check_is_of_this_week_and_never_in_the_future(today):
    calendar = Calendar(today)
    monday = today - timedelta(days=today.weekday())

    assert monday <= calendar.day(26) <= today
    assert calendar.week_began(26) == monday
    assert calendar.day(26).weekday() < 5


@pytest.mark.parametrize("today", DAYS)
def test_year_holds_26_school_weeks_and_two_breaks(today):
    calendar = Calendar(today)
    days = [calendar.day(week) for week in range(1, 27)]
    breaks = calendar.breaks()

    assert calendar.starts.weekday() == 0
    assert [(pause.ends - pause.starts).days + 3 for pause in breaks] == [7, 14]
    assert not [day for day in days for pause in breaks if pause.starts <= day <= pause.ends]
    # 26 school weeks and 3 weeks of breaks, counted on the calendar
    assert (days[-1] - days[0]).days == 28 * 7
    assert calendar.starts <= days[0] < days[-1] < calendar.ends


def test_terms_lie_between_the_breaks_without_touching_them():
    calendar = Calendar(date(2026, 11, 20))
    first, second, third = calendar.terms()
    one, two = calendar.breaks()

    assert first.starts == calendar.starts
    assert first.ends < one.starts <= one.ends < second.starts
    assert second.ends < two.starts <= two.ends < third.starts
    assert third.ends == calendar.ends


def test_short_year_has_no_break_that_it_does_not_reach():
    assert Calendar(date(2026, 11, 20), weeks=5).breaks() == []


def test_year_name_says_both_years_or_the_one():
    assert Calendar(date(2026, 11, 20)).year_name == "2026/27"
    assert Calendar(date(2026, 8, 14)).year_name == "2026"

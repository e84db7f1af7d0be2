"""Charts of every kind for the tests: invented numbers of an invented pupil."""

from dataclasses import replace
from datetime import date, timedelta

from tracker.charts.description import Change, Likely, Line, Point, SkillChart, Span, Step
from tracker.charts.wording import Words

RATES = (9, 11, 10, 13, 12, 15, 14, 17, 16, 19, 18, 20, 19, 20, 18, 21, 19)
WRONG = (3, 4, 3, 2, 3, 3, 4, 2, 3, 3, 2, 3, 3, 4, 3, 2, 3)
WEEK_ONE = date(2026, 9, 11)


def point(week=1, rate=12.0, wrong=1.0, **more) -> Point:
    on = WEEK_ONE + timedelta(weeks=week - 1)
    accuracy = None if rate is None or wrong is None or rate + wrong == 0 else rate / (rate + wrong)
    values = {"rate": rate, "wrong": wrong, "accuracy": accuracy, "url": f"/checks/{week}/", **more}
    return Point(week, on.isoformat(), f"Form {week}", date_text=f"{on.day} {on:%B}", **values)


def untimed(week: int) -> Point:
    return point(week, None, None, accuracy=0.8, kind="untimed")


def chart(*points: Point, **more) -> SkillChart:
    given = {"start_text": "7 Sep 2026", "end_text": "12 Mar 2027", "words": Words(), **more}
    return SkillChart("Subtract with regrouping", **{"first_week": 1, "last_week": 27, **given}, points=points)


def busy() -> SkillChart:
    """Everything that a chart can hold at once."""
    points = [point(week, rate, wrong) for week, rate, wrong in zip(range(1, 18), RATES, WRONG, strict=True)]
    points[3] = replace(points[3], set_aside=True)
    points[12] = untimed(13)
    return chart(
        *points[:7],
        *points[9:],
        mark=(Step(1, 20), Step(14, 30)),
        expected=Line(1, 9, 27, 28.5, "expected 0.75 a week"),
        likely=tuple(Likely(week, 7 + week * 0.8, 10 + week * 0.8) for week in range(1, 14)),
        bands=(Span(11, 14, "levelled off about here"),),
        changes=(Change(12, "with blocks"), Change(18, "small group, blocks"), Change(22, "on squared paper")),
        breaks=(Span(8, 9, "autumn break"),),
        trend="Rising until week 12, level since.",
    )


def kinds() -> dict[str, SkillChart]:
    """Zero, one and thirty points, very high values, accuracy, one week only, untimed only, right-to-left."""
    many = tuple(point(week, 20 + week * 0.9 + week * 7 % 5, week * 3 % 4) for week in range(1, 31))
    high = tuple(point(week, 380.0 + week * 9, 160.0 - week * 9) for week in range(1, 13))
    arabic = Words(week_axis="أسبوع المدرسة", rate_axis="أرقام في الدقيقة", digits="٠١٢٣٤٥٦٧٨٩", decimal="٫")
    return {
        "busy": busy(),
        "none": chart(mark=(Step(1, 40),), breaks=(Span(8, 8, "break"), Span(17, 18, "winter break"))),
        "one": chart(point(3, 38.46, 0.0), mark=(Step(1, 40),)),
        "many": chart(*many, last_week=30, mark=(Step(1, 40),), expected=Line(1, 18, 30, 42, "expected 0.8 a week")),
        "high": chart(*high, mark=(Step(1, 400),)),
        "accuracy": replace(busy(), measure="accuracy", mark=(Step(1, 0.95),), expected=None, likely=()),
        "one week": chart(point(5), first_week=5, last_week=5),
        "three weeks": chart(point(5), point(6), first_week=5, last_week=7, mark=(Step(1, 20),)),
        "untimed": chart(untimed(2), untimed(3)),
        "right to left": replace(busy(), words=arabic, title="طرح الأعداد"),
    }

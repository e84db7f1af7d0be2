"""Sentences of the pupil page: what is missing, which mark holds and where it is from, and how the skill grows."""

from datetime import date
from math import ceil, floor, isnan

from django.template.defaultfilters import floatformat
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from tracker.measures.growth import MedianSlope
from tracker.measures.marks import BURNS_2006, COMMON_PRACTICE, Mark
from tracker.measures.rules import Rules
from tracker.progress.evidence import day, percent
from tracker.progress.standings import INTERVAL_FROM
from tracker.queries.pupils import OwnStand

TINY = 1e-9
LEAST_CHANCE = 0.01
OLD_DAYS = 300


def when(on: date, *, today: date) -> str:
    """The day; with its year where it could be taken for another one."""
    return day(on) if (today - on).days < OLD_DAYS else date_format(on, "j F Y")


def number(value: float) -> str:
    """One decimal where there is one, with a real minus sign."""
    return str(floatformat(value, -1)).replace("-", "\N{MINUS SIGN}")


def share(value: float) -> str:
    """Per cent that never parts from its sign at the end of a line."""
    return percent(value).replace(" ", "\N{NO-BREAK SPACE}")


def short_of(value: float, need: float, *, places: int) -> float:
    """Rounded, but never up to what is needed: what is missing never looks as if it were there."""
    step: int = 10**places
    near = round(value, places)
    return near if near < need - TINY else floor(value * step + TINY) / step


def at_least(value: float, *, places: int) -> float:
    """Rounded up: what is needed never looks like less than it is."""
    step: int = 10**places
    return ceil(value * step - TINY) / step


def missing_words(standing: OwnStand, *, rules: Rules) -> tuple[str, ...]:
    """What is missing to be secure, one part each. While the method is learnt, accuracy comes first and no rate is
    asked for."""
    parts = [one for one in standing.missing if not (one["code"] == "rate" and standing.stage == "learning")]
    chance = standing.chance_at_mark
    return tuple(_missing_part(one["code"], one["have"], one["need"], chance=chance, rules=rules) for one in parts)


def _missing_part(code: str, have: float, need: float, *, chance: float | None, rules: Rules) -> str:
    if code == "rate":
        return _rate_part(have, need, chance=chance, rules=rules)
    if code == "accuracy":
        words = {"have": share(short_of(have, need, places=2)), "need": share(need)}
        return _("accuracy %(have)s, needs %(need)s") % words
    if code == "written-material":
        return _("the written work is not recorded yet")
    texts = {
        "checks": ngettext("%(have)s of %(need)s check", "%(have)s of %(need)s checks", round(need)),
        "timed-checks": ngettext("%(have)s of %(need)s timed check", "%(have)s of %(need)s timed checks", round(need)),
        "running": ngettext(
            "%(have)s of %(need)s check running at the mark", "%(have)s of %(need)s checks running at the mark", need
        ),
    }
    return texts[code] % {"have": round(have), "need": round(need)}


def _rate_part(have: float, need: float, *, chance: float | None, rules: Rules) -> str:
    words = {"have": number(short_of(have, need, places=1)), "need": number(at_least(need, places=1))}
    if chance is None:
        return _("%(have)s a minute, needs %(need)s") % words
    words["sure"] = share(rules.chance_at_mark)
    if chance < LEAST_CHANCE:
        words["least"] = share(LEAST_CHANCE)
        text = _("%(have)s a minute, needs %(need)s to be %(sure)s sure of the mark (now under %(least)s)")
        return text % words
    words["now"] = share(short_of(chance, rules.chance_at_mark, places=2))
    return _("%(have)s a minute, needs %(need)s to be %(sure)s sure of the mark (now %(now)s)") % words


def mark_words(mark: Mark | None, *, timed: bool) -> str:
    """The mark in short; empty where there is none."""
    if mark is None:
        return ""
    if mark.rate is None or not timed:
        return _("%(share)s right") % {"share": share(mark.accuracy)}
    return _("%(rate)s a minute, %(share)s right") % {"rate": number(mark.rate), "share": share(mark.accuracy)}


def source_words(mark: Mark) -> str:
    known = {
        COMMON_PRACTICE: _("common practice, no source, provisional"),
        BURNS_2006: _("by analogy with Burns, VanDerHeyden and Jiban 2006, provisional"),
    }
    return known.get(mark.source, mark.source)


def growth_words(slope: MedianSlope, *, checks: int, measure: str) -> str:
    """Growth a week with its interval; below five checks no interval can hold what it promises, so nothing is said."""
    if checks < INTERVAL_FROM or isnan(slope.slope) or isnan(slope.low):
        text = ngettext(
            "Too early to tell how it grows: %(have)s check of at least %(need)s.",
            "Too early to tell how it grows: %(have)s checks of at least %(need)s.",
            checks,
        )
        return text % {"have": checks, "need": INTERVAL_FROM}
    scale = 100 if measure == "accuracy" else 1
    words = {"low": number(slope.low * scale), "high": number(slope.high * scale)}
    way = "rising" if slope.low > TINY else "falling" if slope.high < -TINY else "unclear"
    size = slope.slope * scale if way == "unclear" else abs(slope.slope * scale)
    if way == "falling":
        words = {"low": number(-slope.high * scale), "high": number(-slope.low * scale)}
    return _growth_text(way, measure) % {**words, "slope": number(size)}


def _growth_text(way: str, measure: str) -> str:
    texts = {
        ("rising", "rate"): _("Rising by %(slope)s a week (between %(low)s and %(high)s)."),
        ("falling", "rate"): _("Falling by %(slope)s a week (between %(low)s and %(high)s)."),
        ("unclear", "rate"): _("Neither clearly rising nor falling: %(slope)s a week (between %(low)s and %(high)s)."),
        ("rising", "accuracy"): _("Accuracy rising by %(slope)s points a week (between %(low)s and %(high)s)."),
        ("falling", "accuracy"): _("Accuracy falling by %(slope)s points a week (between %(low)s and %(high)s)."),
        ("unclear", "accuracy"): _(
            "Accuracy neither clearly rising nor falling: %(slope)s points a week (between %(low)s and %(high)s)."
        ),
    }
    return texts[way, measure]

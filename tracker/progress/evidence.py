"""Frozen evidence to sentences with numbers and dates, in the reader's language."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from tracker.models import Flag, School
from tracker.progress.vocabulary import skill_label

Evidence = Mapping[str, Any]


def sentence(flag: Flag, school: School) -> str:
    """Why the flag was raised. A kind without a sentence of its own says only the day."""
    if not has_sentence(flag):
        return _("Raised on %(day)s.") % {"day": day(flag.raised_on)}
    return SENTENCES[flag.kind](flag.evidence, flag, school)


def has_sentence(flag: Flag) -> bool:
    return flag.kind in SENTENCES and bool(flag.evidence)


def day(when: date | str) -> str:
    return date_format(date.fromisoformat(when) if isinstance(when, str) else when, "j F")


def percent(share: float) -> str:
    return _("%(number)s %%") % {"number": round(100 * share)}


def _regrouping(evidence: Evidence, flag: Flag, school: School) -> str:
    words = {
        "right": evidence["skill_right"],
        "total": evidence["skill_total"],
        "days": _days(evidence["skill_dates"]),
        "skill": percent(evidence["skill_accuracy"]),
        "twin": percent(evidence["twin_accuracy"]),
        "twin_skill": skill_label(flag.skill.twin.key, school) if flag.skill.twin else "",
        "twin_right": evidence["twin_right"],
        "twin_total": evidence["twin_total"],
        "twin_days": _days(evidence["twin_dates"]),
    }
    text = _(
        "%(skill)s of the digits right here (%(right)s of %(total)s, %(days)s), but %(twin)s on “%(twin_skill)s” "
        "(%(twin_right)s of %(twin_total)s, %(twin_days)s)."
    )
    return text % words


def _days(dates: Sequence[str]) -> str:
    """From the first to the last, oldest first; a single day stands alone."""
    first, last = day(dates[0]), day(dates[-1])
    return first if first == last else _("%(first)s to %(last)s") % {"first": first, "last": last}


def _accuracy(evidence: Evidence, flag: Flag, school: School) -> str:
    count = len(evidence["dates"])
    text = ngettext(
        "%(share)s of the digits right in the last check (%(right)s of %(total)s, %(days)s).",
        "%(share)s of the digits right in the last %(count)s checks (%(right)s of %(total)s, %(days)s).",
        count,
    )
    return text % {
        "share": percent(evidence["accuracy"]),
        "count": count,
        "right": evidence["right"],
        "total": evidence["total"],
        "days": _days(evidence["dates"]),
    }


def _no_check(evidence: Evidence, flag: Flag, school: School) -> str:
    """The day is that of the last check, or the one from which the skill was the pupil's next to check."""
    weeks = evidence["weeks"]
    if evidence.get("checked", True):
        text = ngettext(
            "Last check on %(day)s, %(weeks)s school week ago.",
            "Last check on %(day)s, %(weeks)s school weeks ago.",
            weeks,
        )
    else:
        text = ngettext(
            "The skill to check since %(day)s, and no check of it in the %(weeks)s school week since.",
            "The skill to check since %(day)s, and no check of it in the %(weeks)s school weeks since.",
            weeks,
        )
    return text % {"day": day(evidence["last_on"]), "weeks": weeks}


def _slipped(evidence: Evidence, flag: Flag, school: School) -> str:
    return _("Secure on %(secure)s; the checks of %(days)s were below the mark.") % {
        "secure": day(evidence["secure_on"]),
        "days": ", ".join(day(one) for one in evidence["failed_on"]),
    }


SENTENCES: dict[str, Callable[[Evidence, Flag, School], str]] = {
    Flag.Kind.REGROUPING: _regrouping,
    Flag.Kind.ACCURACY: _accuracy,
    Flag.Kind.NO_CHECK: _no_check,
    Flag.Kind.SLIPPED: _slipped,
}

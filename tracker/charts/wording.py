"""Every word that a chart shows; the English is here to be collected, translations arrive from outside."""

from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any, Self

from tracker.measures import gettext_noop


@dataclass(frozen=True, slots=True)
class Words:
    """The words of a chart and how it writes numbers; placeholders are named."""

    week_axis: str = gettext_noop("school week")
    rate_axis: str = gettext_noop("digits a minute")
    accuracy_axis: str = gettext_noop("accuracy, per cent")
    rate: str = gettext_noop("digits correct a minute")
    wrong: str = gettext_noop("digits wrong a minute, hanging below")
    accuracy: str = gettext_noop("accuracy")
    likely: str = gettext_noop("likely range")
    set_aside: str = gettext_noop("set aside, not counted")
    untimed: str = gettext_noop("untimed, no rate")
    no_rate: str = gettext_noop("no rate that day")
    mark: str = gettext_noop("mark %(value)s")
    percent: str = gettext_noop("%(value)s %%")
    readout_head: str = gettext_noop("%(check)s, week %(week)s, %(date)s")
    readout_rate: str = gettext_noop("%(rate)s digits correct a minute")
    readout_wrong: str = gettext_noop("%(wrong)s wrong a minute")
    readout_accuracy: str = gettext_noop("accuracy %(accuracy)s")
    readout_open: str = gettext_noop("Enter opens this check.")
    walk: str = gettext_noop("Arrow keys go from check to check, Enter opens one.")
    table: str = gettext_noop("The same numbers as a table")
    column_week: str = gettext_noop("Week")
    column_date: str = gettext_noop("Date")
    column_check: str = gettext_noop("Check")
    column_rate: str = gettext_noop("Correct a minute")
    column_wrong: str = gettext_noop("Wrong a minute")
    column_accuracy: str = gettext_noop("Accuracy")
    column_remark: str = gettext_noop("Remark")
    nothing: str = gettext_noop("No checks to show yet.")
    fact_checks: str = gettext_noop("Checks shown: %(count)s.")
    fact_only: str = gettext_noop("Week %(week)s: %(value)s.")
    fact_first: str = gettext_noop("First, week %(week)s: %(value)s.")
    fact_last: str = gettext_noop("Last, week %(week)s: %(value)s.")
    fact_highest: str = gettext_noop("Highest, week %(week)s: %(value)s.")
    fact_lowest: str = gettext_noop("Lowest, week %(week)s: %(value)s.")
    fact_mark: str = gettext_noop("Mark now: %(value)s.")
    fact_set_aside: str = gettext_noop("Set aside and not counted here: %(count)s.")
    fact_untimed: str = gettext_noop("Untimed: %(count)s.")
    fact_change: str = gettext_noop("Teaching changed in week %(week)s: %(label)s.")
    fact_span: str = gettext_noop("Weeks %(first)s to %(last)s: %(label)s.")
    digits: str = "0123456789"
    decimal: str = "."

    @classmethod
    def translated(cls, translate: Callable[[str], str], **changes: Any) -> Self:
        """All words through one translating function; `changes` replaces some, such as `digits`.

        >>> Words.translated(str.upper).week_axis
        'SCHOOL WEEK'
        """
        plain = ("digits", "decimal")
        words = {item.name: translate(str(item.default)) for item in fields(cls) if item.name not in plain}
        return cls(**{**words, **changes})

    def number(self, value: float, places: int = 1) -> str:
        """A number in the reader's digits, without a useless ".0".

        >>> Words(decimal=",").number(19.3), Words().number(20.04)
        ('19,3', '20')
        """
        text = f"{value:.{places}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        text = "0" if text == "-0" else text
        return "".join(self.digits[int(sign)] if sign.isdigit() else sign for sign in text).replace(".", self.decimal)

    def share(self, value: float) -> str:
        """A share as a percentage.

        >>> Words().share(0.925)
        '92.5 %'
        """
        return self.percent % {"value": self.number(value * 100)}

"""Kinds of fields that several forms share, each with sentences that say what is allowed."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from tracker.queries.names import tidy


class NameField(forms.CharField):
    """A name or other short words: one spelling, nothing invisible."""

    def to_python(self, value: Any) -> str:
        return tidy(super().to_python(value) or "")


class DayField(forms.DateField):
    """Browsers show a day in the reader's own order and send it as year-month-day."""

    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    default_error_messages = {"invalid": _("Write a day that exists as year-month-day, for example 2026-09-07.")}

    def __init__(self, **options: Any) -> None:
        super().__init__(input_formats=["%Y-%m-%d"], **options)


def _sentences(low: float, high: float, *, whole: bool) -> dict[str, Any]:
    words = _("Write a whole number from {low} to {high}.") if whole else _("Write a number from {low} to {high}.")
    sentence = format_lazy(words, low=f"{low:g}", high=f"{high:g}")
    return dict.fromkeys(("invalid", "min_value", "max_value", "max_digits", "max_decimal_places"), sentence)


class WholeField(forms.IntegerField):
    def __init__(self, low: float, high: float, **options: Any) -> None:
        sentences = _sentences(low, high, whole=True)
        super().__init__(min_value=int(low), max_value=int(high), error_messages=sentences, **options)


class NumberField(forms.FloatField):
    def __init__(self, low: float, high: float, **options: Any) -> None:
        sentences = _sentences(low, high, whole=False)
        super().__init__(min_value=low, max_value=high, error_messages=sentences, **options)


class ExactField(forms.DecimalField):
    """A number with one place behind the point."""

    def __init__(self, low: int, high: int, **options: Any) -> None:
        sentences = _sentences(low, high, whole=False)
        limits: dict[str, Any] = {"min_value": Decimal(low), "max_value": Decimal(high), "decimal_places": 1}
        super().__init__(max_digits=4, error_messages=sentences, **limits, **options)

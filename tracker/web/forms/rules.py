"""How the school reads its scores: every setting of the measures, with its unit and what is allowed."""

from dataclasses import Field, fields
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from tracker.measures.rules import Rules
from tracker.web.forms.fields import NumberField, WholeField

LABELS = {
    "accuracy_gate": _("Accuracy from which speed is looked at"),
    "pool": _("Checks over which accuracy and rate are read"),
    "few_checks": _("Checks from which a stage is shown without brackets"),
    "secure_rule": _("How a skill becomes secure"),
    "chance_at_mark": _("How sure it must be that the true rate is at the mark"),
    "running_checks": _("Checks running at the mark"),
    "exactly_on_mark": _("A value exactly on the mark"),
    "missing_in_run": _("A missing week in a run of checks"),
    "secure_event": _("The day on which a skill became secure"),
    "kept_after_days": _("When a secure skill is checked again"),
    "kept_rate_share": _("Part of the rate that must still be there then"),
    "silent_after_break_days": _("After a break, no “slipped back” for"),
    "silent_break_length_days": _("A break counts from"),
    "leading_zeros": _("A zero written in front"),
    "skipped_digits": _("Digits left out on the way"),
    "day_variation": _("How far a rate varies from day to day"),
    "form_variation": _("How far sheets of one skill differ"),
    "dispersion": _("Further variation of a rate"),
    "growth_per_week": _("Usual growth"),
    "growth_spread": _("How far pupils differ in growth"),
    "growth_weeks": _("Growth is carried on for at most"),
    "missed_weeks": _("A level is less sure after missing"),
    "missed_spread": _("By how much it is less sure then"),
    "stale_days": _("A check says nothing about today after"),
    "doubt_sds": _("An entry is asked about beyond"),
    "gap_checks": _("Regrouping gap: checks needed"),
    "gap_twin_days": _("Regrouping gap: how long checks without regrouping count"),
    "gap_twin_accuracy": _("Regrouping gap: accuracy without regrouping"),
    "gap_points": _("Regrouping gap: smallest difference"),
    "gap_confidence": _("Regrouping gap: confidence of the interval"),
    "accuracy_dispersion": _("Further variation of accuracy"),
    "low_accuracy": _("Accuracy stays low: below"),
    "low_accuracy_checks": _("Accuracy stays low: over so many checks"),
    "low_accuracy_from": _("Accuracy stays low: not before so many checks"),
    "low_accuracy_gain": _("Accuracy stays low: silent after a rise of"),
    "low_accuracy_sds": _("Accuracy stays low: width of the bound"),
    "no_check_weeks": _("No recent check: after"),
    "class_share": _("Teach it to the class: when more than this part is below"),
    "class_pupils": _("Teach it to the class: not with fewer than"),
    "rise_again_checks": _("A flag may rise again after"),
    "copying_ceiling": _("Writing limits the rate from this part of the copying rate"),
    "stopped_in_row": _("Talk with the child after so many stopped checks"),
}
CHOICES = {
    "chance": _("by the chance that the true rate is at the mark"),
    "running": _("by checks running at the mark"),
    "at": _("counts as at the mark"),
    "below": _("counts as below"),
    "skip": _("neither counts nor breaks it"),
    "break": _("breaks it"),
    "last": _("that of the last check of the run"),
    "first": _("that of the first check of the run"),
    "strip": _("is passed over"),
    "wrong": _("count as wrong"),
    "omitted": _("count as left out"),
}
UNITS = {
    "share": _("percent"),
    "checks": _("checks"),
    "days": _("days"),
    "weeks": _("weeks"),
    "school weeks": _("school weeks"),
    "pupils": _("pupils"),
    "digits a minute": _("digits a minute"),
    "digits a minute a week": _("digits a minute a week"),
    "standard deviations": _("standard deviations"),
    "standard errors": _("standard errors"),
    "factor on the variance": _("times the variance"),
}


GROUPS = (
    (_("Stages"), ("accuracy_gate", "pool", "few_checks", "secure_rule", "chance_at_mark", "running_checks")),
    (_("Open choices"), ("exactly_on_mark", "missing_in_run", "secure_event", "leading_zeros", "skipped_digits")),
    (
        _("Kept, and after a break"),
        ("kept_after_days", "kept_rate_share", "silent_after_break_days", "silent_break_length_days"),
    ),
    (
        _("Flags"),
        (
            *("gap_checks", "gap_twin_days", "gap_twin_accuracy", "gap_points", "gap_confidence", "low_accuracy"),
            *("low_accuracy_checks", "low_accuracy_from", "low_accuracy_gain", "low_accuracy_sds", "no_check_weeks"),
            *("class_share", "class_pupils", "rise_again_checks", "copying_ceiling", "stopped_in_row"),
        ),
    ),
)


class RulesForm(forms.Form):
    """One field a rule; shares are typed as percentages."""

    def __init__(self, *args: Any, rules: dict[str, float | int | str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for rule in fields(Rules):
            self.fields[rule.name] = _field(rule, rules[rule.name])

    def arguments(self) -> dict[str, Any]:
        return {"rules": {rule.name: self._value(rule) for rule in fields(Rules)}}

    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """What belongs together; whatever is in no group describes how scores vary."""
        named = {name for _title, names in GROUPS for name in names}
        rest = tuple(name for name in self.fields if name not in named)
        groups = (*GROUPS, (_("How scores vary"), rest))
        return [(title, [self[name] for name in names]) for title, names in groups]

    def _value(self, rule: Field[Any]) -> float | int | str:
        value = self.cleaned_data[rule.name]
        if rule.metadata["unit"] == "share":
            return round(float(value) / 100, 6)
        return value if rule.metadata["kind"] != "number" else float(value)


def _field(rule: Field[Any], now: float | int | str) -> forms.Field:
    label, about = LABELS[rule.name], rule.metadata
    if about["kind"] == "choice":
        choices = [(one, CHOICES[one]) for one in about["options"]]
        return forms.ChoiceField(label=label, choices=choices, initial=now)
    times = 100 if about["unit"] == "share" else 1
    low, high = _plain(about["low"] * times), _plain(about["high"] * times)
    words = gettext("%(unit)s, from %(low)s to %(high)s; %(usual)s unless changed")
    usual = _plain(float(str(rule.default)) * times)
    help_text = words % {"unit": UNITS[about["unit"]], "low": low, "high": high, "usual": usual}
    kind = WholeField if about["kind"] == "whole" else NumberField
    return kind(float(low), float(high), label=label, help_text=help_text, initial=_plain(float(now) * times))


def _plain(number: float) -> str:
    return f"{number:.4f}".rstrip("0").rstrip(".")

"""The plan of a check as a form: a day, and a skill for each pupil."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from tracker.actions.checks import PlannedRow
from tracker.progress.plan import PlanLine


class PlanForm(forms.Form):
    """One select a pupil, named by public id; an empty choice leaves the pupil out."""

    sat_on = forms.DateField(
        label=_("Day of the check"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        input_formats=["%Y-%m-%d"],
        error_messages={"required": _("Choose the day of the check."), "invalid": _("Choose a day of the calendar.")},
    )

    def __init__(
        self, data: Any = None, *, lines: Sequence[PlanLine], choices: Sequence[tuple[str, str]], **options: Any
    ) -> None:
        super().__init__(data, **options)
        self.lines = lines
        self.skills = [("", _("not this time")), *choices]
        for line in lines:
            self.fields[f"skill-{line.pupil_id}"] = forms.ChoiceField(
                label=line.name, choices=self.skills, required=False, initial=line.skill_key
            )

    def rows(self) -> list[PlannedRow]:
        """The pupils who have a skill."""
        chosen = ((line, self.cleaned_data[f"skill-{line.pupil_id}"]) for line in self.lines)
        return [PlannedRow(line.pupil_id, key, timed=line.timed) for line, key in chosen if key]

    def table(self) -> list[tuple[PlanLine, forms.BoundField]]:
        return [(line, self[f"skill-{line.pupil_id}"]) for line in self.lines]


class EveryoneForm(forms.Form):
    """Sets one skill for the whole class before the plan is shown."""

    def __init__(self, data: Any = None, *, choices: Sequence[tuple[str, str]]) -> None:
        super().__init__(data)
        first = [("", _("each pupil’s own next skill")), ("year", _("the mixed year sheet"))]
        self.fields["everyone"] = forms.ChoiceField(
            label=_("Set for everyone"), required=False, choices=[*first, *choices]
        )

    def chosen(self) -> str:
        return self.cleaned_data["everyone"] if self.is_valid() else ""

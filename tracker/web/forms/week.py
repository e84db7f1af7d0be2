"""The plan of a check as a form: a day, and a skill for each pupil."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from tracker.actions.checks import PlannedRow
from tracker.progress.open_plan import OpenPlan, OpenRow
from tracker.progress.plan import PlanLine

Choices = Sequence[tuple[str, str]]
CHOSEN = {True: SafeString(" selected"), False: SafeString("")}


class PlainSelect(forms.Select):
    """Thirty selects of thirty options: written at once, since a template an option takes a third of a second."""

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        options = format_html_join(
            "", '<option value="{}"{}>{}</option>', ((key, CHOSEN[key == value], text) for key, text in self.choices)
        )
        return format_html("<select{}>{}</select>", flatatt(self.build_attrs({"name": name}, attrs)), options)


class RowsForm(forms.Form):
    """A select and a tick "no time" a row, named by public id; an empty choice leaves the row out."""

    choices: Choices

    def _add(self, name: str, label: str, *, skill_key: str, timed: bool, untimed: bool) -> None:
        self.fields[f"skill-{name}"] = forms.ChoiceField(
            label=label,
            choices=[("", _("not this time")), *self.choices],
            required=False,
            initial=skill_key,
            widget=PlainSelect,
            error_messages={"invalid_choice": _("This school does not use that skill.")},
        )
        if timed:
            self.fields[f"untimed-{name}"] = forms.BooleanField(label=_("no time"), required=False, initial=untimed)

    def field_of(self, name: str) -> dict[str, Any]:
        untimed = f"untimed-{name}"
        return {"skill": self[f"skill-{name}"], "untimed": self[untimed] if untimed in self.fields else None}

    def _is_timed(self, name: str) -> bool:
        return f"untimed-{name}" in self.fields and not self.cleaned_data[f"untimed-{name}"]

    def _chosen(self, name: str, pupil_id: str, *, form: int | None = None) -> list[PlannedRow]:
        key = self.cleaned_data[f"skill-{name}"]
        return [PlannedRow(pupil_id, key, form, timed=self._is_timed(name))] if key else []


class PlanForm(RowsForm):
    sat_on = forms.DateField(
        label=_("Day of the check"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        input_formats=["%Y-%m-%d"],
        error_messages={"required": _("Choose the day of the check."), "invalid": _("Choose a day of the calendar.")},
    )

    def __init__(self, data: Any = None, *, lines: Sequence[PlanLine], choices: Choices, **options: Any) -> None:
        super().__init__(data, **options)
        self.lines, self.choices = lines, choices
        for line in lines:
            self._add(line.pupil_id, line.name, skill_key=line.skill_key, timed=line.timed, untimed=line.untimed)

    def rows(self) -> list[PlannedRow]:
        """The pupils who have a skill."""
        return [row for line in self.lines for row in self._chosen(line.pupil_id, line.pupil_id)]

    def table(self) -> list[tuple[PlanLine, dict[str, Any]]]:
        return [(line, self.field_of(line.pupil_id)) for line in self.lines]


class ChangeForm(RowsForm):
    """Rows still due, pupils who are not in the check yet, and one further row for anybody."""

    def __init__(self, data: Any = None, *, plan: OpenPlan, choices: Choices) -> None:
        super().__init__(data)
        self.plan, self.choices = plan, choices
        for row in plan.due:
            self.choices = choices if row.here else [(row.skill_key, row.skill)]
            self._add(row.attempt_id, row.name, skill_key=row.skill_key, timed=row.timed, untimed=row.untimed)
        self.choices = choices
        for line in plan.others:
            self._add(line.pupil_id, line.name, skill_key="", timed=line.timed, untimed=line.untimed)
        self.fields["more_pupil"] = forms.ChoiceField(
            label=_("Pupil"), choices=[("", _("nobody")), *plan.pupils], required=False
        )
        self.fields["more_skill"] = forms.ChoiceField(
            label=_("Skill"), choices=[("", _("choose a skill")), *choices], required=False
        )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if given.get("more_pupil") and not given.get("more_skill"):
            self.add_error("more_skill", _("Choose the skill of the further row."))
        return given

    def rows(self) -> list[PlannedRow]:
        """What is still due after the change; a row that keeps its skill keeps its sheet."""
        due = [row for one in self.plan.due for row in self._chosen(one.attempt_id, one.pupil_id, form=self._form(one))]
        new = [row for line in self.plan.others for row in self._chosen(line.pupil_id, line.pupil_id)]
        pupil, key = self.cleaned_data["more_pupil"], self.cleaned_data["more_skill"]
        return [*due, *new, *([PlannedRow(pupil, key)] if pupil and key else [])]

    def _form(self, row: OpenRow) -> int | None:
        return row.form if self.cleaned_data[f"skill-{row.attempt_id}"] == row.skill_key else None

    def table(self) -> list[tuple[OpenRow, dict[str, Any] | None]]:
        return [(row, self.field_of(row.attempt_id) if row.due else None) for row in self.plan.rows]

    def others(self) -> list[tuple[PlanLine, dict[str, Any]]]:
        return [(line, self.field_of(line.pupil_id)) for line in self.plan.others]


class EveryoneForm(forms.Form):
    """Sets one skill for the whole class before the plan is shown."""

    def __init__(self, data: Any = None, *, choices: Choices) -> None:
        super().__init__(data)
        first = [("", _("each pupil’s own next skill")), ("year", _("the mixed year sheet"))]
        self.fields["everyone"] = forms.ChoiceField(
            label=_("Set for everyone"), required=False, choices=[*first, *choices]
        )

    def chosen(self) -> str:
        return self.cleaned_data["everyone"] if self.is_valid() else ""

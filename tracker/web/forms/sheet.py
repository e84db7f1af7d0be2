"""Asks for a sheet of a skill."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _


class MakeForm(forms.Form):
    def __init__(self, data: Any = None, *, choices: Sequence[tuple[str, str]]) -> None:
        super().__init__(data)
        self.fields["skill"] = forms.ChoiceField(
            label=_("Skill"),
            choices=[("", _("choose a skill")), *choices],
            error_messages={
                "required": _("Choose a skill."),
                "invalid_choice": _("This school does not use that skill."),
            },
        )

"""Small groups and the lists of providers."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from tracker.web.forms.fields import DayField, NameField
from tracker.web.forms.roster import choose

Choices = list[tuple[str, Any]]


class GroupForm(forms.Form):
    name = NameField(label=_("Name of the group"), max_length=60)
    starts = DayField(label=_("First day"))
    ends = DayField(label=_("Last day"), required=False)


class PupilForm(forms.Form):
    """No pupil is chosen beforehand: a slip of the finger would open a child's record to the wrong person."""

    pupil_id = forms.ChoiceField(label=_("Pupil"), error_messages={"required": _("Choose a pupil.")})

    def __init__(self, *args: Any, pupils: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose(self, "pupil_id", [("", str(_("Choose a pupil"))), *pupils])


class AssignForm(PupilForm):
    starts = DayField(label=_("First day"))


class PutInForm(AssignForm):
    group_id = forms.ChoiceField(label=_("Group"))
    field_order = ("group_id", "pupil_id", "starts")

    def __init__(self, *args: Any, groups: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose(self, "group_id", groups)


class TakeOutForm(PupilForm):
    ends = DayField(label=_("Last day in the group"))

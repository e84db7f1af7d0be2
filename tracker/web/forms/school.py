"""The school's settings and its own marks."""

from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.conf import settings
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext_lazy as _

from tracker.web.forms.fields import DayField, ExactField, NameField, WholeField
from tracker.web.forms.roster import LAST_GRADE, choose

DATE_ORDERS = (("DMY", _("day, month, year")), ("MDY", _("month, day, year")), ("YMD", _("year, month, day")))
TYPING = (
    ("correct-wrong", _("digits correct, digits wrong")),
    ("reached-wrong", _("last item reached, digits wrong")),
)


class SchoolForm(forms.Form):
    name = NameField(label=_("Name of the school"), max_length=120)
    timezone = forms.ChoiceField(label=_("Time zone"), choices=lambda: [(one, one) for one in _zones()])
    language = forms.ChoiceField(label=_("Language"), choices=settings.LANGUAGES)
    week_start = forms.TypedChoiceField(label=_("First day of the week"), coerce=int, choices=list(WEEKDAYS.items()))
    date_order = forms.ChoiceField(label=_("How days are written"), choices=DATE_ORDERS)
    typing = forms.ChoiceField(
        label=_("How scores are typed"),
        choices=TYPING,
        help_text=_("With the last item reached, the digits are counted from the key of the sheet."),
    )
    grade = NameField(label=_("Your word for grade"), max_length=30, required=False, help_text=_("For example: year"))
    regrouping = NameField(
        label=_("Your word for regrouping"), max_length=30, required=False, help_text=_("For example: exchanging")
    )
    subtract = NameField(
        label=_("Your word for subtract"), max_length=30, required=False, help_text=_("For example: take away")
    )

    def arguments(self) -> dict[str, Any]:
        values = dict(self.cleaned_data)
        words = {word: values.pop(word) for word in ("grade", "regrouping", "subtract")}
        return {**values, "words": words}


def _zones() -> list[str]:
    """Places people know, without the names kept for old machines."""
    return sorted(zone for zone in available_timezones() if zone == "UTC" or ("/" in zone and zone[:3] != "Etc"))


class SkillsForm(forms.Form):
    skills_off = forms.MultipleChoiceField(
        label=_("Skills that this school does not use"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, skills: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose(self, "skills_off", skills)


class MarkForm(forms.Form):
    """Accuracy is typed as a percentage and kept as a share."""

    accuracy = ExactField(50, 100, label=_("Accuracy, percent"))
    rate = ExactField(1, 200, label=_("Digits correct a minute"))
    grade = WholeField(0, LAST_GRADE, required=False, help_text=_("Empty: for all of them."))
    source = NameField(
        label=_("Where the mark comes from"),
        max_length=200,
        help_text=_("For example: agreed by the teachers, or the title of a handbook."),
    )
    valid_from = DayField(label=_("Holds from"))

    def __init__(self, *args: Any, grade_word: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["grade"].label = grade_word[:1].upper() + grade_word[1:]

    def arguments(self) -> dict[str, Any]:
        values = dict(self.cleaned_data)
        return {**values, "accuracy": float(values["accuracy"]) / 100, "rate": float(values["rate"])}


class YearMarkForm(MarkForm):
    """A mixed year sheet belongs to one grade already."""

    field_order = ("accuracy", "rate", "source", "valid_from")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["grade"]


class PupilMarkForm(forms.Form):
    """A mark for one pupil: who set it and why is kept with it."""

    skill_key = forms.ChoiceField(label=_("Skill"))
    accuracy = ExactField(50, 100, label=_("Accuracy, percent"))
    rate = ExactField(1, 200, label=_("Digits correct a minute"))
    valid_from = DayField(label=_("Holds from"))
    why = NameField(label=_("Why this pupil has a mark of their own"), max_length=300)

    def __init__(self, *args: Any, skills: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose(self, "skill_key", skills)

    def arguments(self) -> dict[str, Any]:
        values = dict(self.cleaned_data)
        return {**values, "accuracy": float(values["accuracy"]) / 100, "rate": float(values["rate"])}

"""Years, classes and pupils."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from tracker.actions.rosters import PupilDetails
from tracker.queries.names import tidy
from tracker.web.forms.fields import DayField, NameField, WholeField

MODES = (
    ("written", _("written")),
    ("oral", _("oral")),
    ("scribed", _("scribed")),
    ("keyboard", _("keyboard")),
    ("tiles", _("number tiles")),
)
LAST_GRADE = 13


class BareForm(forms.Form):
    """A button that asks for nothing."""


class StretchForm(forms.Form):
    """A year, a term or a break."""

    name = NameField(label=_("Name"), max_length=40)
    starts = DayField(label=_("First day"))
    ends = DayField(label=_("Last day"))


class ClassForm(forms.Form):
    name = NameField(label=_("Name of the class"), max_length=60)


class NewClassForm(ClassForm):
    year_id = forms.ChoiceField(label=_("School year"))

    def __init__(self, *args: Any, years: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose(self, "year_id", years)


def choose(form: forms.Form, name: str, choices: list[tuple[str, str]]) -> None:
    form.fields[name].choices = choices  # type: ignore[attr-defined]


class PlaceForm(forms.Form):
    """A class and a grade from a day on; labelled with the school's word for grade."""

    class_id = forms.ChoiceField(label=_("Class"))
    grade = WholeField(0, LAST_GRADE)
    starts = DayField(label=_("First day in this class"))

    def __init__(self, *args: Any, grade_word: str, classes: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["grade"].label = grade_word[:1].upper() + grade_word[1:]
        choose(self, "class_id", classes)


class CorrectForm(forms.Form):
    grade = WholeField(0, LAST_GRADE)
    starts = DayField(label=_("First day in this class"))

    def __init__(self, *args: Any, grade_word: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["grade"].label = grade_word[:1].upper() + grade_word[1:]


class DetailsForm(forms.Form):
    given_name = NameField(label=_("Given name"), max_length=80)
    family_name = NameField(label=_("Family name"), max_length=80, required=False)
    school_ref = NameField(
        label=_("School reference"),
        max_length=40,
        help_text=_("The school’s own number or short word for this pupil. It tells two of the same name apart."),
    )
    no_timed_checks = forms.BooleanField(
        label=_("No timed checks"),
        required=False,
        help_text=_("Accuracy and what is shown with things, drawings and in writing then carry the stage."),
    )
    mode = forms.ChoiceField(label=_("Usual way of answering"), choices=MODES, initial="written")
    adjustments = NameField(label=_("Adjustments at checks"), max_length=200, required=False)
    written_method = NameField(
        label=_("Written method before"),
        max_length=80,
        required=False,
        help_text=_("If another way of writing the sum was taught at an earlier school."),
    )
    home_languages = NameField(label=_("Languages at home"), max_length=120, required=False)

    def arguments(self) -> dict[str, Any]:
        return {"details": PupilDetails(**{name: self.cleaned_data[name] for name in DetailsForm.base_fields})}


class NewPupilForm(PlaceForm, DetailsForm):
    field_order = ("given_name", "family_name", "school_ref", "class_id", "grade", "starts")

    def arguments(self) -> dict[str, Any]:
        return {**super().arguments(), **{name: self.cleaned_data[name] for name in PlaceForm.base_fields}}


class LeftForm(forms.Form):
    left_on = DayField(label=_("Last day at the school"))


class FindForm(forms.Form):
    words = forms.CharField(label=_("Name or school reference"), max_length=100)


class EraseForm(forms.Form):
    """Typed by hand, so that no slip of the finger erases a child."""

    reference = forms.CharField(label=_("School reference of this pupil"), max_length=40)

    def __init__(self, *args: Any, school_ref: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.school_ref = school_ref

    def clean_reference(self) -> str:
        typed = tidy(self.cleaned_data["reference"])
        if typed.casefold() != self.school_ref.casefold():
            raise forms.ValidationError(_("This is not the reference of this pupil; nothing was erased."))
        return typed

    def arguments(self) -> dict[str, Any]:
        return {}

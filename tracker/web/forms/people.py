"""Accounts, roles, classes given, and families."""

from typing import Any

from django import forms
from django.conf import settings
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from tracker.web.forms.fields import DayField, NameField
from tracker.web.forms.roster import choose

# Cover is given on a class's page, parents are linked on a pupil's page.
ROLES = (
    ("teacher", _("teacher")),
    ("assistant", _("assistant")),
    ("provider", _("provider of extra teaching")),
    ("coordinator", _("coordinator")),
    ("deputy", _("deputy coordinator")),
    ("office", _("office")),
    ("head", _("head")),
)
COVER = ("cover", _("covering teacher, for one day"))
NOTE_LANGUAGES = (
    ("", _("the school’s language")),
    ("en", "English"),
    ("es", "Español"),
    ("fr", "Français"),
    ("ar", "العربية"),
)
CHANNELS = (("paper", _("on paper")), ("email", _("by e-mail")), ("page", _("on the family page")))
DIGITS = (("", "0 1 2 3 4 5 6 7 8 9"), ("arab", "٠ ١ ٢ ٣ ٤ ٥ ٦ ٧ ٨ ٩"))
SIGN_IN_NAME = RegexValidator(r"^[\w.@+-]+$", _("Use letters, figures and . @ + - _ only, without spaces."))


class AccountForm(forms.Form):
    name = NameField(label=_("Name"), max_length=120)
    username = NameField(label=_("Sign-in name"), max_length=60, validators=[SIGN_IN_NAME])
    email = forms.EmailField(label=_("E-mail"), required=False, max_length=254)
    language = forms.ChoiceField(
        label=_("Language of pages"), required=False, choices=[("", _("the school’s language")), *settings.LANGUAGES]
    )


class NewAccountForm(AccountForm):
    username = NameField(
        label=_("Sign-in name"),
        max_length=60,
        validators=[SIGN_IN_NAME],
        required=False,
        help_text=_("Left empty, it is made from the name."),
    )


class NewPersonForm(NewAccountForm):
    role = forms.ChoiceField(label=_("Role"), choices=(*ROLES, COVER))
    starts = DayField(label=_("From"))
    ends = DayField(label=_("Until"), required=False)
    field_order = ("name", "role", "starts", "ends", "username", "email", "language")


class RoleForm(forms.Form):
    role = forms.ChoiceField(label=_("Role"), choices=ROLES)
    starts = DayField(label=_("From"))
    ends = DayField(label=_("Until"), required=False)


class EndForm(forms.Form):
    ends = DayField(label=_("Last day"))


class GiveClassForm(forms.Form):
    user_id = forms.ChoiceField(label=_("Teacher"))
    starts = DayField(label=_("From"))
    ends = DayField(label=_("Until"), required=False)

    def __init__(self, *args: Any, people: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose(self, "user_id", people)


class CoverForm(forms.Form):
    user_id = forms.ChoiceField(label=_("Who covers"))
    day = DayField(label=_("Day"))

    def __init__(self, *args: Any, people: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose(self, "user_id", people)


class FamilyWishes(forms.Form):
    """What families are asked; paper is as good as any other way."""

    starts = DayField(label=_("From"))
    form_of_address = NameField(label=_("How to address them"), max_length=80, required=False)
    language = forms.ChoiceField(label=_("Language of notes"), choices=NOTE_LANGUAGES, required=False)
    channel = forms.ChoiceField(label=_("How notes reach them"), choices=CHANNELS, initial="paper")
    digits = forms.ChoiceField(label=_("Digits in notes"), choices=DIGITS, required=False)


class LinkForm(FamilyWishes):
    user_id = forms.ChoiceField(label=_("Family member"))
    field_order = ("user_id",)

    def __init__(self, *args: Any, people: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose(self, "user_id", people)


class NewGuardianForm(FamilyWishes):
    name = NameField(label=_("Name"), max_length=120)
    username = NameField(
        label=_("Sign-in name"),
        max_length=60,
        validators=[SIGN_IN_NAME],
        required=False,
        help_text=_("Left empty, it is made from the name."),
    )
    email = forms.EmailField(label=_("E-mail"), required=False, max_length=254)
    field_order = ("name", "username", "email")


class FactorForm(forms.Form):
    """Somebody else could ask for it over the telephone, so it takes a second step."""

    sure = forms.BooleanField(
        label=_("I know for sure who is asking"),
        error_messages={"required": _("Tick this once you know for sure; nothing was reset.")},
    )

    def arguments(self) -> dict[str, Any]:
        return {}

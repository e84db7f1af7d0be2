"""Forms for files in and out."""

from django import forms
from django.utils.translation import gettext_lazy as _


class LoadForm(forms.Form):
    kind = forms.ChoiceField(
        label=_("What the file holds"),
        choices=[("roster", _("pupils and classes")), ("scores", _("scores"))],
        widget=forms.RadioSelect,
        initial="roster",
        error_messages={"required": _("Say whether the file holds pupils or scores.")},
    )
    file = forms.FileField(
        label=_("File"),
        help_text=_("A CSV file from any spreadsheet program, up to 2 MB."),
        error_messages={
            "required": _("Choose a file first."),
            "empty": _("The file is empty."),
            "invalid": _("Choose a file first."),
        },
    )

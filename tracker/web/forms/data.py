"""Forms for files in and out."""

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

MOST_BYTES = 2_000_000


class LoadForm(forms.Form):
    kind = forms.ChoiceField(
        label=gettext_lazy("What the file holds"),
        choices=[("roster", gettext_lazy("pupils and classes")), ("scores", gettext_lazy("scores"))],
        widget=forms.RadioSelect,
        initial="roster",
        error_messages={"required": gettext_lazy("Say whether the file holds pupils or scores.")},
    )
    file = forms.FileField(
        label=gettext_lazy("File"),
        help_text=gettext_lazy("A CSV file from any spreadsheet program, up to 2 MB."),
        error_messages={
            "required": gettext_lazy("Choose a file first."),
            "empty": gettext_lazy("The file is empty."),
            "invalid": gettext_lazy("Choose a file first."),
        },
    )

    def clean_file(self) -> UploadedFile:
        """Looked at before the file is read, since a film would fill the memory."""
        file: UploadedFile = self.cleaned_data["file"]
        if (file.size or 0) > MOST_BYTES:
            raise forms.ValidationError(_("The file is larger than 2 MB. Split it into smaller files."))
        return file

"""The correction of one score of a closed check."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from tracker.actions.errors import Refused
from tracker.actions.scores import Typed
from tracker.progress.grid import GridRow
from tracker.web.forms.scores import first_label, read_number

COUNTED = ("done", "stopped")
NUMBER = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "maxlength": 6})


class CorrectionForm(forms.Form):
    """Opens with the values as they are."""

    first = forms.CharField(required=False, widget=NUMBER)
    wrong = forms.CharField(label=_("Digits wrong"), required=False, widget=NUMBER)
    seconds = forms.CharField(
        label=_("Time in seconds"), required=False, widget=NUMBER, help_text=_("Empty: the time of the sheet.")
    )
    status = forms.ChoiceField(
        label=_("The row is"),
        choices=[
            ("done", _("done")),
            ("stopped", _("stopped")),
            ("absent", _("absent")),
            ("not-given", _("not given")),
        ],
    )
    why = forms.CharField(
        label=_("Why"),
        help_text=_("Kept with the old value and your name."),
        error_messages={"required": _("Say why the score is corrected.")},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    version = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, row: GridRow) -> None:
        initial = {
            "first": row.first_value,
            "wrong": row.wrong,
            "seconds": row.seconds,
            "status": row.status,
            "version": row.version,
        }
        super().__init__(data, initial=initial)
        self.row = row
        self.fields["first"].label = first_label(row.first)
        if not row.may_time:
            del self.fields["seconds"]

    def clean_first(self) -> int | None:
        return self._number("first")

    def clean_wrong(self) -> int | None:
        return self._number("wrong")

    def clean_seconds(self) -> int | None:
        return self._number("seconds")

    def _number(self, name: str) -> int | None:
        try:
            return read_number(self.cleaned_data[name], name)
        except Refused as refused:
            raise forms.ValidationError(refused.sentence) from refused

    def typed(self) -> Typed:
        """Said to be right by a person who looked at it twice; nobody needs to ask again."""
        given = self.cleaned_data
        if given["status"] not in COUNTED:
            return Typed(status=given["status"])
        return Typed(
            **{self.row.first: given["first"]},
            wrong=given["wrong"],
            omitted=self.row.omitted,
            seconds=given.get("seconds"),
            status=given["status"],
            confirmed=True,
        )

    def refuse(self, refused: Refused) -> None:
        field = "first" if refused.field == self.row.first else refused.field
        self.add_error(field if field in self.fields else None, refused.sentence)

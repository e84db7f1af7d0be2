"""Sign-in with a password or a printed code, and choosing a password."""

from typing import Any

from allauth.account.forms import LoginForm, ReauthenticateForm
from allauth.mfa.base.forms import AuthenticateForm
from allauth.mfa.base.forms import ReauthenticateForm as FactorAgainForm
from allauth.mfa.totp.forms import ActivateTOTPForm
from django import forms
from django.contrib.auth.password_validation import password_validators_help_texts, validate_password
from django.utils.translation import gettext_lazy as _

LONGEST = 200


def _without_placeholder(field: forms.Field, *, label: Any, help_text: Any = "", **attrs: str) -> None:
    field.label, field.help_text = label, help_text
    field.widget.attrs.pop("placeholder", None)
    field.widget.attrs.update(attrs)


class SignInForm(LoginForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _without_placeholder(self.fields["login"], label=_("Sign-in name"), autocapitalize="none", spellcheck="false")
        _without_placeholder(self.fields["password"], label=_("Password"))


class CodeForm(forms.Form):
    prefix = "code"

    name = forms.CharField(
        label=_("Sign-in name"),
        max_length=60,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"}),
    )
    code = forms.CharField(
        label=_("Code"),
        max_length=40,
        help_text=_("As it stands on your paper. Capitals and hyphens do not matter."),
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "autocapitalize": "none", "spellcheck": "false"}
        ),
    )

    def refuse(self) -> None:
        """The same words for an unknown name, a wrong code, a used one and one that is out of date."""
        self.add_error(
            None, _("This name and code don’t open anything. A code works once; ask the office for a new one.")
        )


class AgainForm(ReauthenticateForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _without_placeholder(self.fields["password"], label=_("Your password"))


FROM_APP = _("Six digits from your app.")
FROM_APP_OR_LIST = _("Six digits from your app, or one of your spare codes.")


def _as_code(field: forms.Field, *, help_text: Any) -> None:
    _without_placeholder(field, label=_("Code"), help_text=help_text, inputmode="numeric", spellcheck="false")


class FactorForm(AuthenticateForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _as_code(self.fields["code"], help_text=FROM_APP_OR_LIST)


class FactorForAgainForm(FactorAgainForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _as_code(self.fields["code"], help_text=FROM_APP_OR_LIST)


class NewFactorForm(ActivateTOTPForm):  # type: ignore[misc]
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _as_code(self.fields["code"], help_text=FROM_APP)


class PasswordForm(forms.Form):
    """`ask_old` is off for somebody who has no password yet or came in with a code because they forgot it."""

    old = forms.CharField(
        label=_("Your password until now"),
        strip=False,
        max_length=LONGEST,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    new = forms.CharField(
        label=_("New password"),
        strip=False,
        max_length=LONGEST,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label=_("New password, once more"),
        strip=False,
        max_length=LONGEST,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def __init__(self, *args: Any, user: Any, ask_old: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user = user
        self.fields["new"].help_text = " ".join(map(str, password_validators_help_texts()))
        if not ask_old:
            del self.fields["old"]

    def clean_old(self) -> str:
        old: str = self.cleaned_data["old"]
        if not self.user.check_password(old):
            raise forms.ValidationError(_("This is not your password until now."))
        return old

    def clean_new(self) -> str:
        new: str = self.cleaned_data["new"]
        validate_password(new, self.user)
        return new

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "new" in cleaned and "again" in cleaned and cleaned["new"] != cleaned["again"]:
            self.add_error("again", _("The two are not the same."))
        return cleaned

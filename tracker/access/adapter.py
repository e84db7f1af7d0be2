"""Sign-in rules: nobody signs up by themselves, and who came in or was turned away is logged without names."""

import base64
import hashlib
import logging
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.mfa.adapter import DefaultMFAAdapter
from cryptography.fernet import Fernet, MultiFernet
from django.conf import settings
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from tracker.models import User

log = logging.getLogger(__name__)


class AccountAdapter(DefaultAccountAdapter):  # type: ignore[misc]
    error_messages = {
        **DefaultAccountAdapter.error_messages,
        # The same words whether the name is known or not.
        "username_password_mismatch": _("This name and password don’t belong together. Check both and try again."),
        "incorrect_password": _("This is not your password."),
        "too_many_login_attempts": _("That was tried too often. Wait five minutes, then try again."),
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def populate_username(self, request: HttpRequest, user: Any) -> None:
        """Names are given by the office, never made up here."""

    def authentication_failed(self, request: HttpRequest, **credentials: Any) -> None:
        known = User.objects.filter(username__iexact=credentials.get("username", ""))
        who = known.values_list("public_id", flat=True).first() or "an unknown name"
        log.log(logging.WARNING, "Sign-in refused for %s from %s", who, self.get_client_ip(request))

    def login(self, request: HttpRequest, user: Any) -> None:
        super().login(request, user)
        log.log(logging.INFO, "Signed in: %s from %s", user.public_id, self.get_client_ip(request))

    def logout(self, request: HttpRequest) -> None:
        log.log(logging.INFO, "Signed out: %s", getattr(request.user, "public_id", ""))
        super().logout(request)

    def is_reauthentication_required(self, *, app: str, **kwargs: Any) -> bool:
        """Somebody who signed in a moment ago is not asked again; the session's age is put there by the middleware."""
        age = getattr(self.request, "session_age", None)
        if age is not None and age < settings.ACCOUNT_REAUTHENTICATION_TIMEOUT:
            return False
        return bool(super().is_reauthentication_required(app=app, **kwargs))


class FactorAdapter(DefaultMFAAdapter):  # type: ignore[misc]
    """Keeps the secrets of second factors encrypted, so that a copy of the database gives none away."""

    def encrypt(self, text: str) -> str:
        return _box().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text: str) -> str:
        return _box().decrypt(encrypted_text.encode()).decode()


def _box() -> MultiFernet:
    keys = [str(key) for key in (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)]
    digests = (hashlib.sha256(f"tracker.access.factor{key}".encode()).digest() for key in keys)
    return MultiFernet([Fernet(base64.urlsafe_b64encode(digest)) for digest in digests])

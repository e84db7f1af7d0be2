"""Sign-in with a printed one-time code."""

import secrets
from datetime import datetime

from django.contrib.auth.backends import BaseBackend
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.crypto import salted_hmac

from tracker.models import AccessCode, User
from tracker.models.identifiers import ALPHABET

GROUPS, LETTERS = 3, 4


def new_code() -> str:
    """Twelve letters and digits in three groups: about 57 bits, and none that can be mistaken for another."""
    return "-".join("".join(secrets.choice(ALPHABET) for _ in range(LETTERS)) for _ in range(GROUPS))


def code_digest(code: str) -> str:
    """A keyed digest: codes are random, so a slow hash would add nothing, and a lookup takes the same time for all."""
    plain = "".join(letter for letter in code.casefold() if letter.isalnum())
    return salted_hmac("tracker.access.codes", plain, algorithm="sha256").hexdigest()


def open_codes(*, username: str, code: str, at: datetime) -> QuerySet[AccessCode]:
    """The row that lets this person in, if it is theirs, unused and not out of date."""
    return AccessCode.objects.filter(
        code_hash=code_digest(code),
        user__username__iexact=username,
        user__is_active=True,
        used_at__isnull=True,
        expires_at__gt=at,
    ).select_related("user", "school")


class CodeBackend(BaseBackend):
    """Finds whose code it is; `actions.accounts.take_code` then uses it up."""

    def authenticate(  # type: ignore[override]
        self, request: HttpRequest | None, *, username: str = "", code: str = "", at: datetime | None = None
    ) -> User | None:
        if not username or not code or at is None:
            return None
        row = open_codes(username=username, code=code, at=at).first()
        return row.user if row else None

    def get_user(self, user_id: int) -> User | None:
        return User.objects.filter(pk=user_id, is_active=True).first()

"""Sign-in with a printed one-time code."""

from datetime import datetime

from django.contrib.auth.backends import BaseBackend
from django.contrib.auth.hashers import check_password
from django.http import HttpRequest

from tracker.models import AccessCode, User


class CodeBackend(BaseBackend):
    def authenticate(
        self, request: HttpRequest | None, *, username: str = "", code: str = "", at: datetime | None = None
    ) -> User | None:
        if not username or not code or at is None:
            return None
        rows = AccessCode.objects.filter(
            user__username__iexact=username, user__is_active=True, used_at__isnull=True, expires_at__gt=at
        ).select_related("user")
        return next((row.user for row in rows if check_password(code, row.code_hash)), None)

    def get_user(self, user_id: int) -> User | None:
        return User.objects.filter(pk=user_id, is_active=True).first()

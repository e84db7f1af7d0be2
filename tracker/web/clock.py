"""The one place where the web reads the clock."""

from datetime import datetime

from django.utils import timezone


def now() -> datetime:
    return timezone.now()

"""A password may hold the school's name, but not be made of it."""

from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from tracker.models import Membership, User

OWN_WORDS = ("doublerule", "arithmetic", "fluency")
SHORTEST_WORD = 4


class SchoolNameValidator:
    """Refuses a password that is too short once the names of the person's schools are taken out."""

    def __init__(self, least_left: int = 8) -> None:
        self.least_left = least_left

    def validate(self, password: str, user: User | None = None) -> None:
        rest = password.casefold()
        for word in sorted({*OWN_WORDS, *_school_words(user)}, key=len, reverse=True):
            rest = rest.replace(word, "")
        if rest != password.casefold() and sum(letter.isalpha() for letter in rest) < self.least_left:
            raise ValidationError(self.get_help_text(), code="password_school_name")

    def get_help_text(self) -> str:
        return gettext("Not mainly the name of your school or of this program.")


def _school_words(user: User | None) -> Iterable[str]:
    if user is None or user.pk is None:
        return ()
    names = Membership.objects.filter(user=user).values_list("school__name", flat=True).distinct()
    return (word for name in names for word in name.casefold().split() if len(word) >= SHORTEST_WORD)

"""Random public names for rows: what stands in URLs, forms, JSON and browser storage instead of keys."""

import secrets
from typing import Any

from django.db import models

# No vowels and no look-alikes, so that no id spells a word and each can be read out over the telephone.
ALPHABET = "23456789bcdfghjkmnpqrstvwxz"
LENGTH = 12


def new_public_id() -> str:
    return "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))


class PublicIdField(models.CharField):
    """Twelve random characters, unique, set once."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.update(max_length=LENGTH, unique=True, default=new_public_id, editable=False)
        super().__init__(*args, **kwargs)

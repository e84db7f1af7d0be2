"""Printed codes: hard to guess, easy to type."""

import re

from tracker.access.codes import code_digest, new_code


def test_code_has_three_groups_without_vowels_and_look_alikes():
    codes = {new_code() for _ in range(500)}

    assert len(codes) == 500
    assert all(re.fullmatch(r"([2-9b-df-hjkmnp-tv-xz]{4}-){2}[2-9b-df-hjkmnp-tv-xz]{4}", code) for code in codes)


def test_digest_forgives_capitals_spaces_and_hyphens():
    assert code_digest("bcdf-ghjk-mnpq") == code_digest(" BCDF GHJK mnpq ") == code_digest("bcdfghjkmnpq")
    assert code_digest("bcdf-ghjk-mnpq") != code_digest("bcdf-ghjk-mnpz")


def test_digest_needs_the_installations_key(settings):
    before = code_digest("bcdf-ghjk-mnpq")
    settings.SECRET_KEY = "another-key-" * 5

    assert code_digest("bcdf-ghjk-mnpq") != before

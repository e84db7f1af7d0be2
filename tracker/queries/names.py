"""Names as people write them, and as they are sorted, searched and compared."""

import unicodedata

# Letters that Unicode does not take apart, although people look for them under the plain letter.
JOINED = str.maketrans(
    {"ø": "o", "æ": "ae", "œ": "oe", "đ": "d", "ð": "d", "ł": "l", "ı": "i", "þ": "th", "ħ": "h", "ŋ": "n"}
)
# Zero-width joiners belong to the spelling of some scripts; every other invisible sign is left out.
JOINERS = "\u200c\u200d"
LENGTH = 170


def tidy(text: str) -> str:
    """One spelling for what looks the same: composed letters, single spaces, no invisible direction signs."""
    composed = unicodedata.normalize("NFC", text)
    seen = "".join(sign for sign in composed if sign in JOINERS or unicodedata.category(sign) not in ("Cf", "Cc"))
    return " ".join((seen if seen.strip() else "").split())


def fold(text: str) -> str:
    """Without accents, case, apostrophes and vowel signs, so that one hand and one keyboard find every name.

    >>> fold("Łukasz Ó’Brien-Sørensen")
    'lukasz obrien sorensen'
    """
    apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold().translate(JOINED))
    kept = "".join(_plain(sign) for sign in apart)
    return " ".join(kept.split())[:LENGTH]


def _plain(sign: str) -> str:
    kind = unicodedata.category(sign)
    if kind in ("Mn", "Cf", "Lm") or sign in "'’‘`´ʼ":
        return ""
    return sign if kind[0] in "LNM" else " "


def sort_name(given_name: str, family_name: str) -> str:
    """The family name first; a child with one name only stands under that."""
    return fold(f"{family_name} {given_name}")

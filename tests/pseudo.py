"""A pseudo-language for tests: right-to-left, longer than English, and plainly not English.

`python -m tests.pseudo TEXT` shows one text in it.
"""

import hashlib
import os
import re
import sys
import tempfile
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

CODE = "qtz"  # the last of the codes that ISO 639-2 keeps for local use
DOMAINS = ("django", "djangojs")
ACCENTS = str.maketrans("aceinosuyzACEINOSUYZ", "áçéíñöšúýžÁÇÉÍÑÖŠÚÝŽ")
OVERRIDE, END = "\N{RIGHT-TO-LEFT OVERRIDE}", "\N{POP DIRECTIONAL FORMATTING}"
# Placeholders, tags, entities and addresses stay as they are.
KEPT = re.compile(r"%\(\w+\)[sd]|%[sd%]|\{\w*\}|<[^>]+>|&\w+;|https?://\S+")
WORD = re.compile(r"[^\W\d_]+")


def pseudo(text: str) -> str:
    """The text in long, accented words that run from right to left; what must be kept is kept."""
    parts, end = [], 0
    for kept in KEPT.finditer(text):
        parts += [_words(text[end : kept.start()]), kept.group()]
        end = kept.end()
    return "".join([*parts, _words(text[end:])])


def _words(text: str) -> str:
    return WORD.sub(lambda word: OVERRIDE + _longer(word.group()) + END, text)


def _longer(word: str) -> str:
    """About half as long again: notes in other languages are, and tables must bear it."""
    return word.translate(ACCENTS) + "~" * ((len(word) + 1) // 2)


def built(source: Path) -> Path:
    """The folder that holds the catalogues made from the English ones in `source`; made when it is not there yet."""
    files = [source / "en" / "LC_MESSAGES" / f"{domain}.po" for domain in DOMAINS]
    texts = {path: path.read_bytes() if path.exists() else b"" for path in files}
    version = hashlib.sha256(Path(__file__).read_bytes() + b"\0".join(texts.values())).hexdigest()[:16]
    folder = Path(tempfile.gettempdir()) / f"doublerule-pseudo-{os.getuid()}-{version}"
    target = folder / CODE / "LC_MESSAGES"
    target.mkdir(parents=True, exist_ok=True)
    for path, text in texts.items():
        _compile(text, target / f"{path.stem}.mo")
    return folder


def _compile(text: bytes, target: Path) -> None:
    if target.exists():
        return
    # Several test processes may build at once: each writes its own file, the last to rename wins.
    draft = target.with_suffix(f".{os.getpid()}")
    with draft.open("wb") as file:
        write_mo(file, translated(read_po(BytesIO(text), locale="en")))
    draft.replace(target)


def translated(english: Catalog) -> Catalog:
    result = Catalog(locale="en", fuzzy=False)
    for message in english:
        if message.id:
            result.add(message.id, _both_forms(message), context=message.context)
    return result


def _both_forms(message: Message) -> str | tuple[str, ...]:
    if isinstance(message.id, str):
        return pseudo(message.id)
    return tuple(pseudo(text) for text in message.id)


if __name__ == "__main__":
    sys.stdout.write(pseudo(" ".join(sys.argv[1:])) + "\n")

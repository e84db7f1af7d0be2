"""The product's own letters: complete, of one release for the web and for paper, and light enough for a phone."""

import hashlib
import re
import struct
from pathlib import Path

import pytest

FONTS = Path(__file__).parents[1] / "static/fonts"
SHEET = (FONTS.parent / "css/fonts.css").read_text()
VERSIONS = (FONTS / "VERSIONS.txt").read_text()
RELEASES = {
    "Andika": ("6.101", ("andika-", "names-", "ttf/Doublerule")),
    "Noto Naskh Arabic": ("2.021", ("noto-", "ttf/Noto")),
}


def font_files() -> list[str]:
    return sorted(path.relative_to(FONTS).as_posix() for path in FONTS.rglob("*") if path.suffix in {".woff2", ".ttf"})


def sfnt_tables(data: bytes) -> dict[str, bytes]:
    count = struct.unpack(">H", data[4:6])[0]
    entries = (struct.unpack(">4s3I", data[12 + 16 * i : 28 + 16 * i]) for i in range(count))
    return {tag.decode(): data[start : start + size] for tag, _, start, size in entries}


def revision(data: bytes) -> str:
    """The release that the font itself states: a 16.16 number in its head table."""
    return f"{struct.unpack('>i', sfnt_tables(data)['head'][4:8])[0] / 65536:.3f}"


def listed(family: str) -> dict[str, str]:
    section = next(part for part in VERSIONS.split("\n\n") if part.startswith(f"{family} "))
    return {name: digest for digest, name in re.findall(r"^  ([0-9a-f]{64})  (\S+)$", section, re.M)}


@pytest.mark.parametrize("family", RELEASES)
def test_each_file_is_the_one_listed(family):
    _, prefixes = RELEASES[family]
    files = [name for name in font_files() if name.startswith(prefixes)]

    assert {name: hashlib.sha256((FONTS / name).read_bytes()).hexdigest() for name in files} == listed(family)


def test_no_file_stands_outside_the_releases():
    prefixes = tuple(prefix for _, group in RELEASES.values() for prefix in group)

    assert [name for name in font_files() if not name.startswith(prefixes)] == []


@pytest.mark.parametrize("family", RELEASES)
def test_paper_has_the_release_of_the_web(family):
    release, prefixes = RELEASES[family]
    paper = [name for name in font_files() if name.startswith(prefixes) and name.endswith(".ttf")]

    assert {revision((FONTS / name).read_bytes()) for name in paper} == {release}
    assert f"\n{family} {release}, regular and bold" in VERSIONS


def test_the_style_sheet_uses_every_web_file():
    used = re.findall(r'url\("\.\./fonts/([^"]+)"\)', SHEET)

    assert sorted(used) == [name for name in font_files() if name.endswith(".woff2")]


def test_digits_come_from_one_slice():
    ranges = dict(re.findall(r'fonts/([\w-]+)-400\.woff2"\).*?unicode-range: ([^;]+);', SHEET, re.S))

    assert [name for name, found in ranges.items() if "U+0000-00FF" in found] == ["andika-latin"]


def test_a_family_page_stays_light():
    # Latin letters, letters of names and Arabic, both weights: the most that one family page draws on.
    # The page may weigh 150 KB in all; 25 KB are kept for its text and sheets.
    slices = ("andika-latin", "names-latin-ext", "noto-naskh-arabic")
    names = [f"{name}-{weight}.woff2" for name in slices for weight in (400, 700)]

    assert sum((FONTS / name).stat().st_size for name in names) <= 125_000

import re
from pathlib import Path

from tracker import measures
from tracker.measures.sources import KNOWN_AS, SOURCES

CITED = re.compile(r"\[([a-z][a-z0-9]*(?:-[a-z0-9]+)*)\]")
SECTION = re.compile(r"^ *Source\n *-{6}\n(.*?)(?=\n *\w+\n *-{4,}\n|\"\"\")", re.M | re.S)
PACKAGE = Path(measures.__file__).parent
TESTS = Path(__file__).parent


def cited():
    texts = [path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")]
    return [CITED.findall(section) for text in texts for section in SECTION.findall(text)]


def test_every_source_section_names_a_known_source():
    sections = cited()

    assert len(sections) > 20
    assert [keys for keys in sections if not keys] == []
    assert {key for keys in sections for key in keys} - set(SOURCES) == set()


def test_every_source_is_used():
    in_sections = {key for keys in cited() for key in keys}
    in_tests = "".join(path.read_text(encoding="utf-8") for path in TESTS.rglob("test_*.py"))

    assert [key for key in SOURCES if key not in in_sections and key not in in_tests] == []


def test_every_source_says_how_it_is_known():
    for source in SOURCES.values():
        assert source.known_as
        assert set(source.known_as) <= set(KNOWN_AS)
        assert source.citation.endswith(".")
        assert source.gives

"""Everything that templates/parts/_chart.html needs, drawn once."""

from dataclasses import dataclass
from typing import Any

from tracker.charts.brush import SHAPES
from tracker.charts.description import SkillChart
from tracker.charts.figure import uncoloured
from tracker.charts.palette import DARK, LIGHT, Palette
from tracker.charts.scene import NARROW, WIDE, Scene, plan
from tracker.charts.svg import key_entries, key_shape, svg_of
from tracker.charts.wording import Words
from tracker.charts.words import KeyEntry, Row, facts, readout, rows, setting_facts


@dataclass(frozen=True, slots=True)
class KeyLine:
    """A line of the key with its drawn shape; `only` is "narrow" or "wide" where the other width needs no such line."""

    drawn: str
    number: str
    text: str
    only: str


@dataclass(frozen=True, slots=True)
class ChartParts:
    """One chart for a page; `name` keeps its ids apart from another chart's."""

    name: str
    title: str
    words: Words
    svg_narrow: str
    svg_wide: str
    key: tuple[KeyLine, ...]
    facts: tuple[str, ...]
    setting_facts: tuple[str, ...]
    rows: tuple[Row, ...]
    payload: dict[str, Any]

    @property
    def payload_id(self) -> str:
        """The id of the data block that the page's script reads."""
        return f"{self.name}-data"


def chart_parts(chart: SkillChart, *, name: str, palette: Palette = LIGHT) -> ChartParts:
    """Draw a chart for a page: SVG at two widths, the key, the words, the table and the data for plotly.

    >>> parts = chart_parts(SkillChart("Facts to 20", 1, 4, Words()), name="progress")
    >>> parts.payload_id, parts.facts, sorted(parts.payload)
    ('progress-data', ('No checks to show yet.',), ['colours', 'figures', 'points', 'words'])
    """
    narrow, wide = plan(chart, width=NARROW), plan(chart, width=WIDE)
    return ChartParts(
        name=name,
        title=chart.title,
        words=chart.words,
        svg_narrow=svg_of(chart, narrow, name=f"{name}-narrow", palette=palette),
        svg_wide=svg_of(chart, wide, name=f"{name}-wide", palette=palette),
        key=_key(key_entries(chart, narrow), key_entries(chart, wide), palette),
        facts=facts(chart),
        setting_facts=setting_facts(chart),
        rows=rows(chart),
        payload=_payload(chart, narrow, wide),
    )


def _key(narrow: tuple[KeyEntry, ...], wide: tuple[KeyEntry, ...], palette: Palette) -> tuple[KeyLine, ...]:
    lines = []
    for entry in dict.fromkeys((*narrow, *wide)):
        only = "wide" if entry not in narrow else "narrow" if entry not in wide else ""
        number = "" if entry.shape in SHAPES else entry.shape
        lines.append(KeyLine("" if number else key_shape(entry.shape, palette=palette), number, entry.text, only))
    return tuple(lines)


def _payload(chart: SkillChart, narrow: Scene, wide: Scene) -> dict[str, Any]:
    points = [{"text": readout(chart, point), "url": point.url} for point in chart.points]
    return {
        "figures": {"narrow": uncoloured(chart, narrow), "wide": uncoloured(chart, wide)},
        "colours": {"light": LIGHT.as_dict(), "dark": DARK.as_dict()},
        "points": points,
        "words": {"open": chart.words.readout_open, "walk": chart.words.walk, "title": chart.title},
    }

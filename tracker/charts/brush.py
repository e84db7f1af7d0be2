"""Single SVG marks in one palette."""

import unicodedata
from html import escape

from tracker.charts.palette import Palette

SIZE = 13
SHAPES = ("dot", "hollow", "square", "bar", "mark", "expected", "likely")


class Brush:
    """Draws single marks; a class names the role for a page's own colours, an attribute gives the value for paper."""

    def __init__(self, palette: Palette) -> None:
        self.colours = palette.as_dict()

    def fill(self, role: str) -> str:
        """Fill with a role's colour."""
        return f'class="fill-{role}" fill="{self.colours[role]}"'

    def stroke(self, role: str, width: float, dash: str = "") -> str:
        """Stroke with a role's colour, nothing filled."""
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        return f'class="stroke-{role}" fill="none" stroke="{self.colours[role]}" stroke-width="{width}"{dashes}'

    def line(self, ends: tuple[float, float, float, float], paint: str) -> str:
        """A straight line."""
        x1, y1, x2, y2 = (_px(value) for value in ends)
        return f'<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" {paint}/>'

    def rect(self, box: tuple[float, float, float, float], paint: str) -> str:
        """A box by its corner, width and height."""
        x, y, width, height = (_px(value) for value in box)
        return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" {paint}/>'

    def text(
        self, at: tuple[float, float], words: str, *, role: str = "ink_soft", anchor: str = "start", bold: bool = False
    ) -> str:
        """A line of words, its middle at the given height."""
        weight = ' font-weight="700"' if bold else ""
        place = f'x="{_px(at[0])}" y="{_px(at[1] + SIZE * 0.35)}" text-anchor="{anchor}"'
        return f"<text {place} {self.fill(role)}{weight}>{escape(isolated(words))}</text>"

    def dot(self, x: float, y: float, shape: str) -> str:
        """A check: filled, set aside (hollow) or without a rate (square)."""
        paper, ink = self.colours["paper"], self.colours["ink"]
        ring = f'class="fill-paper stroke-ink" fill="{paper}" stroke="{ink}" stroke-width="1.6"'
        if shape == "square":
            return self.rect((x - 4, y - 4, 8, 8), ring)
        if shape == "hollow":
            return f'<circle cx="{_px(x)}" cy="{_px(y)}" r="4.4" {ring}/>'
        return f'<circle cx="{_px(x)}" cy="{_px(y)}" r="5" {self.fill("ink")}/>'

    def key(self, shape: str, x: float, y: float) -> str:
        """A shape of the key, centred."""
        if shape == "bar":
            return self.rect((x - 2.5, y - 6, 5, 12), self.fill("ink_soft"))
        if shape == "likely":
            return self.rect((x - 11, y - 5, 22, 10), self.fill("ink_soft") + ' fill-opacity="0.18"')
        if shape == "mark":
            return self.line((x - 11, y, x + 11, y), self.stroke("ink", 2))
        if shape == "expected":
            return self.line((x - 11, y, x + 11, y), self.stroke("ink_soft", 1.5, "2 4"))
        if shape not in SHAPES:
            return self.text((x, y), shape, role="action", anchor="middle", bold=True)
        return self.dot(x, y, shape)


def isolated(words: str) -> str:
    """Words with right-to-left letters, kept in their own order inside a left-to-right drawing.

    >>> isolated("week 3"), len(isolated("الأسبوع 3"))
    ('week 3', 11)
    """
    turned = any(unicodedata.bidirectional(sign) in ("R", "AL") for sign in words)
    return f"\u2068{words}\u2069" if turned else words


def _px(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")

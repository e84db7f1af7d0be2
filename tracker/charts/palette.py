"""Colour values by role for light, dark and print; static/css/tokens.css holds the same values for pages."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Palette:
    """One scheme: every colour that a chart or a printed page may use, by what it is for."""

    ink: str
    ink_soft: str
    paper: str
    sheet: str
    line: str
    action: str
    wash: str
    band: str
    doubt: str
    doubt_wash: str

    def as_dict(self) -> dict[str, str]:
        """Give the values by role.

        >>> LIGHT.as_dict()["paper"]
        '#fbfaf5'
        """
        return asdict(self)


LIGHT = Palette(
    ink="#1b2a4a",
    ink_soft="#51607c",
    paper="#fbfaf5",
    sheet="#ffffff",
    line="#cbd3df",
    action="#1f5c4d",
    wash="#eef3f8",
    band="#cfdcec",
    doubt="#7a4a00",
    doubt_wash="#fbf1de",
)
DARK = Palette(
    ink="#f1ede1",
    ink_soft="#bcc1ba",
    paper="#1a1f20",
    sheet="#222829",
    line="#414b4b",
    action="#8fd3b6",
    wash="#29322f",
    band="#344a49",
    doubt="#f0c680",
    doubt_wash="#3a2f1a",
)
PRINT = Palette(
    ink="#000000",
    ink_soft="#444444",
    paper="#ffffff",
    sheet="#ffffff",
    line="#999999",
    action="#000000",
    wash="#f2f2f2",
    band="#dddddd",
    doubt="#000000",
    doubt_wash="#eeeeee",
)
CLEAR = "rgba(0,0,0,0)"
SCHEMES: Mapping[str, Palette] = {"light": LIGHT, "dark": DARK, "print": PRINT}


def coloured(value: Any, palette: Palette) -> Any:
    """Replace every "@role" in a nested figure by that role's colour.

    >>> coloured({"line": {"color": "@ink"}}, LIGHT)
    {'line': {'color': '#1b2a4a'}}
    """
    if isinstance(value, dict):
        return {key: coloured(item, palette) for key, item in value.items()}
    if isinstance(value, list):
        return [coloured(item, palette) for item in value]
    if isinstance(value, str) and value.startswith("@"):
        return getattr(palette, value[1:])
    return value

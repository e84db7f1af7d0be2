"""House rules for templates, style sheets and any text: each function reads one text and says what breaks the rule."""

import re
from collections.abc import Iterable
from html.parser import HTMLParser

INLINE = re.compile(
    r"<style\b|\sstyle\s*=|<script\b(?![^>]*\bsrc=)[^>]*>|\son[a-z]+\s*=\s*[\"']|\bhx-on|javascript:", re.I
)
COLOUR = re.compile(
    r"#(?:[0-9a-f]{8}|[0-9a-f]{6}|[0-9a-f]{3,4})\b|\b(?:rgba?|hsla?|hwb|lab|lch|oklab|oklch)\(\s*[\d.]", re.I
)
NAMED_COLOURS = (
    "aqua|beige|black|blue|brown|coral|crimson|cyan|fuchsia|gold|gray|green|grey|indigo|ivory|khaki|lavender|lime|linen"
    "|magenta|maroon|navy|olive|orange|orchid|pink|plum|purple|red|salmon|silver|snow|tan|teal|tomato|violet|wheat|white"
    "|yellow"
)
NAMED = re.compile(rf"(?<![-\w])(?:dark|light|medium|deep|pale)?(?:{NAMED_COLOURS})(?![-\w(])", re.I)
PHYSICAL = re.compile(r"\b(?:left|right)\b", re.I)
DATE_FILTER = re.compile(r"\|date\b(?::(?P<quote>[\"'])(?P<format>.*?)(?P=quote))?")
SHOWN_ATTRIBUTES = {"alt", "title", "placeholder", "aria-label", "aria-description", "aria-roledescription", "label"}
# The product's name, units and keys stay as they are in every language.
SAME_IN_ALL = {"Doublerule", "Enter", "Tab", "Esc", "CSV"}
TEMPLATE_SYNTAX = (
    r"{%\s*comment\b.*?{%\s*endcomment\s*%}",
    r"{%\s*blocktrans(?:late)?\b.*?{%\s*endblocktrans(?:late)?\s*%}",
    r"{#.*?#}",
    r"{%\s*block page_width\s*%}.*?{%\s*endblock\b.*?%}",  # a class name, shown to nobody
    r"{%.*?%}",
    r"{{.*?}}",
)
DECLARATION = re.compile(r"(?P<name>[-\w]+)\s*:\s*(?P<value>[^;{}]+)(?=[;}])")


def inline_code(text: str) -> list[str]:
    """Styles and scripts in a template: the content policy forbids them."""
    return [match.group().strip() for match in INLINE.finditer(_without(text, TEMPLATE_SYNTAX[:3]))]


def other_dates(text: str) -> list[str]:
    """Dates that don't read as "25 November" with or without weekday, year and time; a weekday may stand alone."""
    day = re.compile(r"(l, )?j F( Y)?(, H:i)?|l")
    return [found.group() for found in DATE_FILTER.finditer(text) if not day.fullmatch(found["format"] or "")]


def _without(text: str, patterns: Iterable[str]) -> str:
    for pattern in patterns:
        text = re.sub(pattern, lambda match: "\n" * match.group().count("\n"), text, flags=re.S)
    return text


def declarations(css: str) -> list[tuple[str, str]]:
    plain = re.sub(r"/\*.*?\*/", "", css, flags=re.S)
    plain = re.sub(r"url\([^)]*\)|\"[^\"]*\"|'[^']*'", "''", plain)
    return [(match["name"].lower(), match["value"].strip()) for match in DECLARATION.finditer(plain)]


def raw_colours_in_css(css: str) -> list[str]:
    finds = []
    for name, value in declarations(css):
        if COLOUR.search(value) or (NAMED.search(value) and name not in {"white-space", "font-family", "grid-area"}):
            finds.append(f"{name}: {value}")
    return finds


def raw_colours_in_text(text: str) -> list[str]:
    """Colours in templates, scripts and Python; addresses with a fragment, entities and "nothing" are none."""
    plain = re.sub(r"href=[\"'][^\"']*[\"']|&#\w+;|rgba\(0, ?0, ?0, ?0\)", "", text)
    return [match.group() for match in COLOUR.finditer(plain)]


def physical_properties(css: str) -> list[str]:
    """Left and right: pages must read the same from the other side. Top and bottom are the same in every direction."""
    return [f"{name}: {value}" for name, value in declarations(css) if PHYSICAL.search(f"{name}: {value}")]


class _Shown(HTMLParser):
    """Collects what a reader of the page would see or hear."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.shown: list[str] = []
        self.quiet = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.quiet += tag in {"script", "style"}
        wanted = SHOWN_ATTRIBUTES | ({"value"} if given.get("type") in {"submit", "button", "reset"} else set())
        self.shown += [value for name, value in attrs if name in wanted and value]

    def handle_endtag(self, tag: str) -> None:
        self.quiet -= tag in {"script", "style"}

    def handle_data(self, data: str) -> None:
        if not self.quiet:
            self.shown.append(data)


def untranslated(template: str) -> list[str]:
    """Words in a template that stand outside translate and blocktranslate."""
    parser = _Shown()
    parser.feed(_without(template, TEMPLATE_SYNTAX))
    parser.close()
    words = [" ".join(text.split()) for text in parser.shown]
    return [text for text in words if any(word not in SAME_IN_ALL for word in re.findall(r"[^\W\d_]{2,}", text))]


# Written in parts, so that this file passes its own rule.
REGISTRIES = [
    f"{name}.{ending}"
    for ending, names in {
        "org": ("pypi", "pythonhosted", "npmjs", "debian"),
        "com": ("npmjs", "unpkg", "cdnjs", "cloudflare", "googleapis"),
        "net": ("jsdelivr",),
        "io": ("crates", "docker"),
    }.items()
    for name in names
]
HOME = re.compile(r"(?<![\w.~:])/(?:home|root|Users)/[\w.-]+|\b[A-Z]:\\\\?Users\b")


def machine_paths(text: str, *, own: Iterable[str]) -> list[str]:
    """Paths that exist on one computer only: home folders, and those in `own`."""
    return [match.group() for match in HOME.finditer(text)] + [path for path in own if path in text]


def registry_hosts(text: str) -> list[str]:
    lowered = text.lower()
    return [host for host in REGISTRIES if re.search(rf"(?<![\w-]){re.escape(host)}(?![\w-])", lowered)]

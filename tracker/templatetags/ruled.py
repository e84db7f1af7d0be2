"""Numbers set over the ruling of their stage."""

from functools import lru_cache

from django import template
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from tracker.progress.vocabulary import stage_label, stage_letter

register = template.Library()

# A skill not started shows a dash; one with too few checks shows its number in brackets.
SHOWN = {"not-started": "–", "few": "({})"}


@register.simple_tag
def stage(key: str, number: object = "", *, unit: str = "", large: bool = False) -> SafeString:
    """The number over its ruling, as in `{% stage "secure" 38 %}`; an empty key is a skill not started."""
    before, between, after = ruling(key or "not-started", get_language(), large)
    shown = SHOWN.get(key or "not-started", "{}").format(number)
    return before + conditional_escape(shown) + between + conditional_escape(unit) + after


@lru_cache(maxsize=256)
def ruling(key: str, language: str | None, large: bool) -> tuple[SafeString, SafeString, SafeString]:
    """What stands before the number, between number and unit, and after; kept, since a gradebook shows hundreds."""
    letter = stage_letter(key)
    return (
        format_html('<span class="stage{}" data-stage="{}"><b>', " stage-large" if large else "", key),
        format_html(
            '</b>{}<span class="spoken"> ', format_html(' <i aria-hidden="true">{}</i>', letter) if letter else ""
        ),
        format_html(", {}</span></span>", stage_label(key)),
    )

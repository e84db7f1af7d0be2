"""Numbers set over the ruling of their stage."""

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from tracker.progress.vocabulary import stage_label, stage_letter

register = template.Library()

# A skill not started shows a dash; one with too few checks shows its number in brackets.
SHOWN = {"not-started": "–", "few": "({})"}


@register.simple_tag
def stage(key: str, number: object = "", *, unit: str = "", large: bool = False) -> SafeString:
    """The number over its ruling, as in `{% stage "secure" 38 %}`; an empty key is a skill not started."""
    key = key or "not-started"
    letter = stage_letter(key)
    return format_html(
        '<span class="stage{}" data-stage="{}"><b>{}</b>{}<span class="spoken"> {}, {}</span></span>',
        " stage-large" if large else "",
        key,
        SHOWN.get(key, "{}").format(number),
        format_html(' <i aria-hidden="true">{}</i>', letter) if letter else "",
        unit,
        stage_label(key),
    )

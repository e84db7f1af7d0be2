"""Numbers set over the ruling of their stage."""

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

register = template.Library()

# Stage: its letter beside the number, and its words for those who hear the page.
STAGES = {
    "learning": (pgettext_lazy("letter of a stage", "L"), _("learning")),
    "quicker": (pgettext_lazy("letter of a stage", "Q"), _("getting quicker")),
    "secure": (pgettext_lazy("letter of a stage", "S"), _("secure")),
    "kept": (pgettext_lazy("letter of a stage", "K"), _("kept")),
    "too-few": ("", _("too few checks")),
    "not-started": ("", _("not started")),
}


# A stage without a number of its own shows a dash; one with too few checks shows its number in brackets.
SHOWN = {"not-started": "–", "too-few": "({})"}


@register.simple_tag
def stage(key: str, number: object = "", *, unit: str = "", large: bool = False) -> SafeString:
    """The number over its ruling, as in `{% stage "secure" 38 %}`; an empty key is a skill not started."""
    key = key or "not-started"
    letter, words = STAGES[key]
    return format_html(
        '<span class="stage{}" data-stage="{}"><b>{}</b>{}<span class="spoken"> {}, {}</span></span>',
        " stage-large" if large else "",
        key,
        SHOWN.get(key, "{}").format(number),
        format_html(' <i aria-hidden="true">{}</i>', letter) if letter else "",
        unit,
        words,
    )

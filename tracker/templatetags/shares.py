"""Shares as people read them."""

from decimal import Decimal

from django import template
from django.utils.formats import localize
from django.utils.translation import gettext as _

register = template.Library()


@register.filter
def percent(share: Decimal | float | None) -> str:
    """With one place where there is one: a mark of 92.5 % is not one of 93 %."""
    if share is None:
        return "–"
    number = round(Decimal(str(share)) * 100, 1)
    return _("%(number)s %%") % {"number": localize(number.normalize() if number % 1 else int(number))}

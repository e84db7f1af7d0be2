"""Long lists of pupils and people."""

from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

FIGURES = {"td": {"class": "number"}, "th": {"class": "number"}}


def _named(name: object, url_name: str, public_id: str) -> SafeString:
    return format_html('<a href="{}"><bdi class="name">{}</bdi></a>', reverse(url_name, args=[public_id]), name)


class PupilTable(tables.Table):
    name = tables.Column(verbose_name=_("Pupil"), order_by=("sort_name", "school_ref"), empty_values=())
    school_ref = tables.Column(verbose_name=_("Reference"))
    place = tables.Column(verbose_name=_("Class"), default="–", order_by=("place", "sort_name"))
    grade = tables.Column(default="–", order_by=("grade", "sort_name"), attrs=FIGURES)

    caption = noun = _("pupils")

    class Meta:
        order_by = "name"

    def __init__(self, *args: Any, grade_word: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.columns["grade"].column.verbose_name = grade_word[:1].upper() + grade_word[1:]

    def render_name(self, record: Any) -> SafeString:
        return _named(record, "roster-pupil", record.public_id)

    def render_school_ref(self, value: str) -> SafeString:
        return format_html("<bdi>{}</bdi>", value)


class PeopleTable(tables.Table):
    name = tables.Column(verbose_name=_("Person"), order_by=("name", "id"))
    username = tables.Column(verbose_name=_("Sign-in name"))
    roles = tables.Column(verbose_name=_("Roles"), empty_values=(), orderable=False)

    caption = noun = _("people")

    class Meta:
        order_by = "name"

    def render_name(self, value: str, record: Any) -> SafeString:
        return _named(value, "roster-person", record.public_id)

    def render_username(self, value: str) -> SafeString:
        return format_html("<bdi>{}</bdi>", value)

    def render_roles(self, record: Any) -> str:
        if not record.is_active:
            return str(_("account closed"))
        return ", ".join(str(role.get_role_display()) for role in record.roles_now) or "–"

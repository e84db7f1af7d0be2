"""The ways on from every page, by right, in the product's own words."""

from dataclasses import dataclass, field
from typing import Any

from django.urls import NoReverseMatch, reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from tracker.access.permissions import may
from tracker.access.viewer import Viewer


@dataclass(frozen=True)
class Way:
    """One way on. `areas` are the first words of the URL names that belong to it."""

    label: str | Promise
    url_name: str
    right: str
    areas: frozenset[str] = field(default_factory=frozenset)

    def holds(self, url_name: str) -> bool:
        return url_name == self.url_name or url_name.partition("-")[0] in self.areas


WAYS = (
    Way(_("This week"), "week-overview", "plan-checks", frozenset({"week"})),
    Way(_("Classes"), "home-classes", "read-classes", frozenset({"group", "pupil"})),
    Way(_("My groups"), "home-groups", "read-own-groups"),
    Way(_("Today’s check"), "home-today", "enter-as-cover"),
    Way(_("Sheets"), "sheet-list", "print-sheets", frozenset({"sheet"})),
    Way(_("Extra help"), "caseload-overview", "read-school", frozenset({"caseload"})),
    Way(_("School"), "school-overview", "read-school", frozenset({"school"})),
    Way(_("Set-up"), "roster-overview", "manage-roster", frozenset({"roster"})),
    Way(_("Data"), "data-load", "load-data", frozenset({"data"})),
    Way(_("My children"), "family-home", "read-own-children", frozenset({"family"})),
)

# The first page of a person with several roles is that of the first right here.
LANDINGS = (
    ("plan-checks", "week-overview"),
    ("read-school", "home-classes"),
    ("read-classes", "home-classes"),
    ("manage-roster", "roster-overview"),
    ("read-own-groups", "home-groups"),
    ("enter-as-cover", "home-today"),
    ("read-own-children", "family-home"),
)


def ways_on(viewer: Viewer | None, *, url_name: str) -> list[dict[str, Any]]:
    """What base.html shows: label, url and whether this is where one is."""
    if not viewer:
        return []
    held = ((way, address(way.url_name)) for way in WAYS if may(viewer, way.right))
    return [{"label": way.label, "url": url, "current": way.holds(url_name)} for way, url in held if url]


def landing(viewer: Viewer | None) -> str:
    """The address of a person's first page; empty for somebody without a role today."""
    if not viewer:
        return ""
    return next((address(name) for right, name in LANDINGS if may(viewer, right) and address(name)), "")


def address(url_name: str) -> str:
    try:
        return reverse(url_name)
    except NoReverseMatch:
        return ""

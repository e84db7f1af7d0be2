"""The parts of a person's page for small groups and for a provider's list."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from tracker.actions.groups import (
    add_group,
    assign_provider,
    end_assignment,
    end_group,
    put_in_group,
    take_from_group,
)
from tracker.queries import groups as kept
from tracker.queries import roster
from tracker.web.forms.groups import AssignForm, GroupForm, PutInForm, TakeOutForm
from tracker.web.forms.people import EndForm
from tracker.web.page_forms import Deed, PageForms


def helping_part(forms: PageForms, person: Any) -> dict[str, Any]:
    """What the page shows of an assistant or a provider; nothing of anybody else."""
    roles = {row.role for row, _form in forms.rows["roles"]}
    if not roles & {"assistant", "provider"}:
        return {}
    pupils = roster.pupil_choices(forms.request.viewer) if forms.may() else []
    shown = _groups_part(forms, person, pupils)
    return {**shown, **_list_part(forms, person, pupils)} if "provider" in roles else shown


def _groups_part(forms: PageForms, person: Any, pupils: Sequence[tuple[str, str]]) -> dict[str, Any]:
    viewer = forms.request.viewer
    groups = kept.groups_of(viewer, person)
    lasting = [group for group in groups if not kept.over(group, viewer)]
    added = Deed(add_group, _("The group is there. Put its pupils in next."))
    forms.add("add-group", GroupForm, added, fixed={"holder_id": person.public_id}, initial={"starts": viewer.today})
    forms.add(
        "put-in-group",
        PutInForm,
        Deed(put_in_group, _("The pupil is in the group."), again=True),
        groups=[(group.public_id, group.name) for group in lasting],
        pupils=pupils,
        initial=_as_before(forms, lasting),
    )
    _next_pupil(forms, "put-in-group")
    gone = [group for group in groups if kept.over(group, viewer)]
    return {"helps": True, "groups": _beside_groups(forms, lasting), "groups_over": gone}


def _next_pupil(forms: PageForms, do: str) -> None:
    """The hands stay on the keyboard from one pupil to the next."""
    if forms.request.GET.get("again") == do:
        forms.shown[do.replace("-", "_")].fields["pupil_id"].widget.attrs["autofocus"] = True


def _as_before(forms: PageForms, lasting: Sequence[kept.SmallGroup]) -> dict[str, Any]:
    """Group and day of the pupil put in last, when several are put in one after another."""
    today = forms.request.viewer.today
    places = [(place.pk, group, place) for group in lasting for place in group.places]
    if forms.request.GET.get("again") and places:
        _newest, group, place = max(places, key=lambda one: one[0])
        return {"group_id": group.public_id, "starts": place.starts}
    return {"starts": max(today, lasting[0].starts) if lasting else today}


def _beside_groups(forms: PageForms, lasting: Sequence[kept.SmallGroup]) -> list[tuple[Any, Any, Any]]:
    """Every group with its form to take a pupil out and its form to end it."""
    today = forms.request.viewer.today
    taking = forms.each(
        lasting,
        TakeOutForm,
        {"take-from-group": Deed(take_from_group, _("The pupil is in the group until that day."))},
        key="group_id",
        prefix="take",
        options=lambda group: {
            "pupils": [(place.pupil.public_id, f"{place.pupil} ({place.pupil.school_ref})") for place in group.places],
            "initial": {"ends": today},
        },
    )
    ending = forms.each(
        lasting,
        EndForm,
        {"end-group": Deed(end_group, _("The group ends on that day."))},
        key="group_id",
        prefix="end",
        options=lambda group: {"initial": {"ends": group.ends or today}},
    )
    return [(group, take, end) for (group, take), (_group, end) in zip(taking, ending, strict=True)]


def _list_part(forms: PageForms, person: Any, pupils: Sequence[tuple[str, str]]) -> dict[str, Any]:
    viewer = forms.request.viewer
    rows = kept.list_of(viewer, person)
    forms.add(
        "assign-provider",
        AssignForm,
        Deed(assign_provider, _("The pupil is on the list."), again=True),
        fixed={"user_id": person.public_id},
        pupils=pupils,
        initial={"starts": viewer.today},
    )
    _next_pupil(forms, "assign-provider")
    forms.rows["listed"] = forms.each(
        [row for row in rows if not kept.over(row, viewer)],
        EndForm,
        {"end-assignment": Deed(end_assignment, _("The pupil is on the list until that day."))},
        key="assignment_id",
        options=lambda row: {"initial": {"ends": row.ends or viewer.today}},
    )
    return {"has_list": True, "listed_before": [row for row in rows if kept.over(row, viewer)]}

"""One child: where they stand, and what was seen of the reasons to look."""

from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from tracker.actions.access_records import note_opened
from tracker.actions.errors import OutOfScope
from tracker.actions.flags import see_flag
from tracker.charts.page import chart_parts
from tracker.charts.wording import Words
from tracker.progress.pupil import PupilProgress, pupil_progress
from tracker.queries import classes, flags, pupils
from tracker.web.permissions import ViewerRequest, may, needs


@require_safe
@needs("read-pupils")
def progress(request: ViewerRequest, pupil_id: str) -> HttpResponse:
    viewer = request.viewer
    pupil = pupils.pupil(viewer, pupil_id)
    skill = request.GET.get("skill", "")
    shown = pupil_progress(viewer, pupil, skill=skill, link=_check_address, words=Words.translated(gettext))
    note_opened(pupil=pupil, by=viewer, on=viewer.today)
    story = shown.story
    context = {
        "shown": shown,
        "chart": chart_parts(story.chart, name="progress") if story and story.chart else None,
        "skill": skill,
        "names_off": request.GET.get("names") == "off",
        "may_see_flags": may(viewer, "acknowledge-flags"),
        "may_plan": _may_plan(viewer, shown),
    }
    return render(request, "pupil/progress.html", context)


def _may_plan(viewer: Any, shown: PupilProgress) -> bool:
    if shown.group is None or not shown.class_id or not may(viewer, "plan-checks"):
        return False
    # Who may open only the own classes teaches this one.
    return not may(viewer, "read-school") or classes.is_taught(viewer, shown.class_id)


def _check_address(class_id: str, check_id: str) -> str:
    return reverse("group-check", args=[class_id, check_id])


@require_POST
@needs("acknowledge-flags")
def flag_seen(request: ViewerRequest, pupil_id: str, flag_id: str) -> HttpResponse:
    viewer = request.viewer
    flag = flags.flag(viewer, pupil_id, flag_id)
    try:
        see_flag(flag_id=flag.public_id, by=viewer, on=viewer.today)
    except OutOfScope as gone:
        raise Http404 from gone
    return redirect(f"{reverse('pupil-progress', args=[pupil_id])}{_kept(request)}#reasons")


def _kept(request: HttpRequest) -> str:
    """The chosen skill, and that names are hidden, go on to the next page."""
    kept: dict[str, Any] = {name: request.POST[name] for name in ("skill", "names") if request.POST.get(name)}
    return f"?{urlencode(kept)}" if kept else ""

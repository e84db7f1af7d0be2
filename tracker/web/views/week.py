"""The teacher's week and the next check."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from tracker.actions import checks as check_actions
from tracker.actions.errors import OutOfScope, Refused
from tracker.progress import pile as piles
from tracker.progress import plan as plans
from tracker.progress import week as weeks
from tracker.progress.open_plan import open_plan
from tracker.queries import checks, classes
from tracker.web.forms.week import ChangeForm, EveryoneForm, PlanForm
from tracker.web.permissions import ViewerRequest, needs


@require_safe
@needs("plan-checks")
def overview(request: ViewerRequest) -> HttpResponse:
    return render(request, "week/overview.html", {"classes": weeks.week(request.viewer), "on": request.viewer.today})


@require_http_methods(["GET", "HEAD", "POST"])
@needs("plan-checks")
def plan(request: ViewerRequest, class_id: str) -> HttpResponse:
    viewer = request.viewer
    group = classes.class_to_plan(viewer, class_id)
    choices = plans.skill_choices(viewer.school)
    everyone = EveryoneForm(request.GET or None, choices=choices)
    proposed = plans.class_plan(viewer, group, everyone=everyone.chosen() if request.GET else "")
    form = PlanForm(request.POST or None, lines=proposed.lines, choices=choices, initial={"sat_on": viewer.today})
    if form.is_bound and form.is_valid() and (made := _make(request, group, form)):
        return _onward(request, group, made)
    context = {"group": group, "plan": proposed, "form": form, "everyone": everyone}
    context["open_checks"] = checks.class_checks(viewer, group).filter(state="open")
    return render(request, "week/plan.html", context, status=422 if form.is_bound else 200)


def _make(request: ViewerRequest, group: Any, form: PlanForm) -> Any | None:
    """The new check, or the one that the same plan made a moment ago."""
    viewer, sat_on = request.viewer, form.cleaned_data["sat_on"]
    there = checks.open_on(viewer, group, sat_on)
    if there is not None:
        if {(row.pupil_id, row.skill_key) for row in form.rows()} == checks.planned_pairs(viewer, there):
            return there
        form.add_error("sat_on", _("A check of that day is open already: change its plan, or choose another day."))
        return None
    day = {"class_id": group.public_id, "sat_on": sat_on, "by": viewer}
    made = _tried(form, lambda: check_actions.plan_check(rows=form.rows(), on=viewer.today, **day))
    if made and (warning := check_actions.day_warning(**day)):
        messages.warning(request, warning)
    return made


@require_http_methods(["GET", "HEAD", "POST"])
@needs("plan-checks")
def change(request: ViewerRequest, class_id: str, check_id: str) -> HttpResponse:
    viewer = request.viewer
    group = classes.class_to_plan(viewer, class_id)
    check = checks.check(viewer, class_id, check_id)
    if check.state == "closed":
        return redirect("group-check", class_id, check_id)
    planned = open_plan(viewer, group, check)
    form = ChangeForm(request.POST or None, plan=planned, choices=plans.skill_choices(viewer.school))
    if form.is_bound and form.is_valid() and _changed(request, check_id, form):
        messages.success(request, _("The plan is changed."))
        return _onward(request, group, check)
    context = {"group": group, "check": check, "form": form}
    return render(request, "week/change.html", context, status=422 if form.is_bound else 200)


def _changed(request: ViewerRequest, check_id: str, form: ChangeForm) -> Any | None:
    by = request.viewer
    return _tried(form, lambda: check_actions.change_plan(check_id=check_id, rows=form.rows(), by=by, on=by.today))


def _tried(form: PlanForm | ChangeForm, act: Any) -> Any | None:
    """What the action gives; a refusal stands on the form."""
    try:
        return act()
    except Refused as refused:
        form.add_error(refused.field if refused.field in form.fields else None, refused.sentence)
        return None
    except OutOfScope as missing:
        raise Http404 from missing


def _onward(request: ViewerRequest, group: Any, check: Any) -> HttpResponse:
    return redirect("week-print" if "print" in request.POST else "group-scores", group.public_id, check.public_id)


@require_safe
@needs("print-sheets")
def print_page(request: ViewerRequest, class_id: str, check_id: str) -> HttpResponse:
    check = checks.check(request.viewer, class_id, check_id)
    return render(request, "week/print.html", {"check": check, "pile": piles.pile(request.viewer, check)})

"""The teacher's week and the next check."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from tracker.actions import checks as check_actions
from tracker.actions.errors import OutOfScope, Refused
from tracker.progress import pile as piles
from tracker.progress import plan as plans
from tracker.progress import week as weeks
from tracker.queries import checks, classes
from tracker.web.forms.week import EveryoneForm, PlanForm
from tracker.web.permissions import ViewerRequest, needs


@require_safe
@needs("plan-checks")
def overview(request: ViewerRequest) -> HttpResponse:
    return render(request, "week/overview.html", {"classes": weeks.week(request.viewer), "on": request.viewer.today})


@require_http_methods(["GET", "HEAD", "POST"])
@needs("plan-checks")
def plan(request: ViewerRequest, class_id: str) -> HttpResponse:
    group = classes.class_group(request.viewer, class_id)
    choices = plans.skill_choices(request.viewer.school)
    everyone = EveryoneForm(request.GET or None, choices=choices)
    proposed = plans.class_plan(request.viewer, group, everyone=everyone.chosen() if request.GET else "")
    form = PlanForm(
        request.POST or None, lines=proposed.lines, choices=choices, initial={"sat_on": request.viewer.today}
    )
    if request.method == "POST" and form.is_valid() and (made := _make(request, class_id, form)):
        return made
    context = {"group": group, "plan": proposed, "form": form, "everyone": everyone}
    return render(request, "week/plan.html", context, status=422 if form.is_bound else 200)


def _make(request: ViewerRequest, class_id: str, form: PlanForm) -> HttpResponse | None:
    viewer, sat_on = request.viewer, form.cleaned_data["sat_on"]
    try:
        made = check_actions.plan_check(class_id=class_id, sat_on=sat_on, rows=form.rows(), by=viewer, on=viewer.today)
        warning = check_actions.day_warning(class_id=class_id, sat_on=sat_on, by=viewer)
    except Refused as refused:
        form.add_error(refused.field if refused.field in form.fields else None, refused.sentence)
        return None
    except OutOfScope as missing:
        raise Http404 from missing
    if warning:
        messages.warning(request, warning)
    return redirect("week-print" if "print" in request.POST else "group-scores", class_id, made.public_id)


@require_safe
@needs("print-sheets")
def print(request: ViewerRequest, class_id: str, check_id: str) -> HttpResponse:
    check = checks.check_to_enter(request.viewer, class_id, check_id)
    return render(request, "week/print.html", {"check": check, "pile": piles.pile(request.viewer, check)})

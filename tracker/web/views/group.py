"""A class: its gradebook, and what a check showed."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from tracker.progress import check_summary
from tracker.progress import gradebook as gradebooks
from tracker.queries import checks, classes
from tracker.web.permissions import ViewerRequest, may, needs


@require_safe
@needs("read-classes")
def overview(request: ViewerRequest, class_id: str) -> HttpResponse:
    viewer = request.viewer
    group = classes.class_group(viewer, class_id)
    whole = "all" in request.GET
    context = {
        "group": group,
        "book": gradebooks.gradebook(viewer, group, whole=whole),
        "whole": whole,
        "checks": checks.class_checks(viewer, group)[:60],
        "may_plan": may(viewer, "plan-checks"),
        "may_enter": may(viewer, "enter-scores"),
    }
    return render(request, "group/overview.html", context)


@require_safe
@needs("read-classes")
def check(request: ViewerRequest, class_id: str, check_id: str) -> HttpResponse:
    viewer = request.viewer
    one = checks.check(viewer, class_id, check_id)
    context = {
        "group": one.class_group,
        "check": one,
        "summary": check_summary.check_summary(viewer, one),
        "may_enter": may(viewer, "enter-scores"),
    }
    return render(request, "group/check.html", context)

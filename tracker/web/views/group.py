"""A class: its gradebook, the scores of a check, and what a check showed."""

from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from tracker.actions import scores as score_actions
from tracker.actions.errors import Refused
from tracker.progress import check_summary
from tracker.progress import gradebook as gradebooks
from tracker.queries import checks, classes
from tracker.queries import scores as score_queries
from tracker.web.forms.scores import read_sent
from tracker.web.permissions import ViewerRequest, may, needs, wants_json
from tracker.web.score_pages import CorrectionPage, ScorePage, answers_as_json, saved_row


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
        "may_plan": may(viewer, "plan-checks") and classes.is_taught(viewer, class_id),
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
        "may_plan": may(viewer, "plan-checks") and classes.is_taught(viewer, class_id),
        "may_print": may(viewer, "print-sheets"),
        "may_correct": may(viewer, "correct-scores"),
    }
    return render(request, "group/check.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@needs("enter-scores", "correct-scores")
def scores(request: ViewerRequest, class_id: str, check_id: str) -> HttpResponse:
    page = ScorePage(request, class_id, check_id)
    if request.method == "POST" and page.accept():
        return redirect("group-scores", class_id, check_id)
    return page.answer()


@require_POST
@needs("enter-scores", json=True)
@answers_as_json
def save(request: ViewerRequest, class_id: str, check_id: str, *, attempt_id: str) -> HttpResponse:
    viewer, sent = request.viewer, read_sent(request.body)
    if sent is None:
        return JsonResponse({"error": "unreadable"}, status=400)
    if sent.user not in ("", viewer.user.public_id):
        # The page was opened by another person than the one who is signed in now.
        return JsonResponse({"error": "other-user"}, status=401)
    check, _writes = score_queries.check_for_scores(viewer, class_id, check_id)
    result = score_actions.save_row(
        check_id=check_id,
        attempt_id=attempt_id,
        typed=sent.typed,
        key=sent.key,
        base_version=sent.base_version,
        by=viewer,
        on=viewer.today,
    )
    return saved_row(viewer, check, result)


@require_POST
@needs("close-checks")
def close(request: ViewerRequest, class_id: str, check_id: str) -> HttpResponse:
    page = ScorePage(request, class_id, check_id)
    if not page.accept():
        return page.answer()
    if page.shown.left and "sure" not in request.POST:
        return redirect(reverse("group-scores", args=[class_id, check_id]) + "?closing=1")
    page.close()
    return redirect("group-check", class_id, check_id)


@require_POST
@needs("enter-scores", "correct-scores")
@answers_as_json
def settle(request: ViewerRequest, class_id: str, check_id: str, *, conflict_id: str) -> HttpResponse:
    viewer, by_script = request.viewer, wants_json(request)
    check, _writes = score_queries.check_for_scores(viewer, class_id, check_id)
    if not by_script:
        ScorePage(request, class_id, check_id).accept()
    take = request.POST.get("take")
    if take not in ("kept", "lost"):
        raise Refused(_("Choose which of the two entries is right."))
    take_lost = take == "lost"
    result = score_actions.settle_conflict(conflict_id=conflict_id, take_lost=take_lost, by=viewer, on=viewer.today)
    if by_script:
        return saved_row(viewer, check, result)
    return redirect("group-scores", class_id, check_id)


@require_http_methods(["GET", "HEAD", "POST"])
@needs("correct-scores")
def correct(request: ViewerRequest, class_id: str, check_id: str, *, attempt_id: str) -> HttpResponse:
    page = CorrectionPage(request, class_id, check_id, attempt_id)
    if request.method == "POST" and page.accept():
        return redirect("group-correct", class_id, check_id, attempt_id)
    return page.answer()

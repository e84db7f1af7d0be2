"""The first page after signing in, by role."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from tracker.queries.accounts import school_names
from tracker.queries.checks import open_checks
from tracker.queries.classes import class_lines
from tracker.queries.groups import own_groups
from tracker.web.navigation import landing as first_page
from tracker.web.permissions import ViewerRequest, needs, signed_in


@require_safe
@signed_in
def landing(request: ViewerRequest) -> HttpResponse:
    if address := first_page(request.viewer):
        return redirect(address)
    return render(request, "home/landing.html", {"schools": school_names(request.user)})


@require_safe
@needs("read-classes")
def classes(request: ViewerRequest) -> HttpResponse:
    return render(request, "home/classes.html", {"lines": class_lines(request.viewer)})


@require_safe
@needs("enter-as-cover")
def today(request: ViewerRequest) -> HttpResponse:
    return render(request, "home/today.html", {"checks": open_checks(request.viewer)})


@require_safe
@needs("read-own-groups")
def groups(request: ViewerRequest) -> HttpResponse:
    return render(request, "home/groups.html", {"lines": own_groups(request.viewer)})

"""Sheets to look at, make and print."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from tracker.actions.errors import Refused
from tracker.actions.sheet_forms import make_form
from tracker.progress import pile, plan
from tracker.queries import sheets
from tracker.web.forms.sheet import MakeForm
from tracker.web.permissions import ViewerRequest, needs


@require_safe
@needs("print-sheets")
def list_page(request: ViewerRequest) -> HttpResponse:
    return _listed(request, MakeForm(choices=plan.skill_choices(request.viewer.school)))


@require_POST
@needs("plan-checks")
def make(request: ViewerRequest) -> HttpResponse:
    form = MakeForm(request.POST, choices=plan.skill_choices(request.viewer.school))
    if form.is_valid():
        try:
            made = make_form(skill_key=form.cleaned_data["skill"], by=request.viewer, on=request.viewer.today)
            return redirect("sheet-print", made.public_id)
        except Refused as refused:
            form.add_error("skill", refused.sentence)
    return _listed(request, form)


@require_safe
@needs("print-sheets")
def print_page(request: ViewerRequest, sheet_id: str) -> HttpResponse:
    sheet = sheets.sheet(request.viewer, sheet_id)
    items = sheets.items(request.viewer, [sheet.pk])
    printed = pile.printed_sheets([sheet], request.viewer.school, items)[sheet.pk]
    return render(request, "sheet/print.html", {"sheet": printed})


def _listed(request: ViewerRequest, form: MakeForm) -> HttpResponse:
    lines = pile.sheet_lines(sheets.sheets(request.viewer), request.viewer.school)
    context = {"lines": lines, "form": form, "may_make": "teacher" in request.viewer.roles}
    return render(request, "sheet/list.html", context, status=422 if form.is_bound else 200)

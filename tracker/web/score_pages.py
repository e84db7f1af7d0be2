"""What the pages of the score grid share: saving what was sent, and answering row by row."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import redirect, render

from tracker.access.permissions import sees_history
from tracker.access.viewer import Viewer
from tracker.actions import access_records, checks, corrections
from tracker.actions import scores as score_actions
from tracker.actions.errors import OutOfScope, Refused
from tracker.actions.saved import SaveResult
from tracker.progress.entries import Answer, answer_words, bare, change_line, dispute_of
from tracker.progress.grid import Grid, GridRow, grid, one_row
from tracker.progress.rows import Doubt
from tracker.progress.vocabulary import skill_label
from tracker.queries import scores
from tracker.web.forms import scores as forms
from tracker.web.forms.correction import CorrectionForm
from tracker.web.grid_words import words
from tracker.web.permissions import ViewerRequest, wants_json

View = Callable[..., HttpResponse]


def answers_as_json(view: View) -> View:
    """A refusal is a sentence beside its field (or above the page, without scripts); what is out of scope is not
    there."""

    @wraps(view)
    def answered(request: ViewerRequest, class_id: str, check_id: str, **kwargs: Any) -> HttpResponse:
        try:
            return view(request, class_id, check_id, **kwargs)
        except Refused as refused:
            if not wants_json(request):
                messages.error(request, refused.sentence)
                return redirect("group-scores", class_id, check_id)
            said = {"error": "refused", "sentence": refused.sentence, "field": refused.field}
            return JsonResponse(said, status=422)
        except OutOfScope as missing:
            raise Http404 from missing

    return answered


@dataclass
class ScorePage:
    """The grid of one check as one person sees it, and what they sent, saved row by row."""

    request: ViewerRequest
    class_id: str
    check_id: str
    page_key: str = ""
    faulty: dict[str, forms.Line] = field(default_factory=dict)
    shown: Grid = field(init=False)

    def __post_init__(self) -> None:
        self.shown = grid(self.request.viewer, self.class_id, self.check_id)
        self.page_key = forms.page_key_of(self.request.POST.get("page_key", ""))

    def accept(self) -> bool:
        """Saves every row that was changed, each on its own; False when something was wrong with one."""
        lines = [forms.posted_line(row, self.request.POST) for row in self.shown.rows]
        changed = [line for line in lines if line.is_changed]
        for line in changed:
            self._save(line)
        if changed:
            self.shown = grid(self.request.viewer, self.class_id, self.check_id)
        return not self.faulty

    def _save(self, line: forms.Line) -> None:
        viewer = self.request.viewer
        try:
            score_actions.save_row(
                check_id=self.check_id,
                attempt_id=line.row.attempt_id,
                typed=line.typed(),
                key=forms.save_key(self.page_key, line),
                base_version=line.base_version,
                by=viewer,
                on=viewer.today,
            )
        except Refused as refused:
            self.faulty[line.row.attempt_id] = line.refused(refused)
        except OutOfScope as missing:
            raise Http404 from missing

    def close(self) -> None:
        viewer = self.request.viewer
        try:
            checks.close_check(check_id=self.check_id, by=viewer, on=viewer.today)
        except OutOfScope as missing:
            raise Http404 from missing

    def answer(self) -> HttpResponse:
        context = {
            "grid": self.shown,
            "group": self.shown.check.class_group,
            "lines": forms.with_faults(self.shown.rows, self.faulty),
            "faults": len(self.faulty),
            "page_key": self.page_key,
            "closing": "closing" in self.request.GET and self.shown.may_close,
            "times": "times" in self.request.GET,
            "words": words(),
        }
        return render(self.request, "group/scores.html", context, status=422 if self.faulty else 200)


def saved_row(viewer: Viewer, check: Any, result: SaveResult) -> JsonResponse:
    """What the grid shows for a row that was saved, or that two people typed."""
    history = sees_history(viewer, check)
    dispute = dispute_of(scores.conflict(viewer, result.conflict_id), viewer) if result.conflict_id else None
    return JsonResponse(
        {
            "state": result.state,
            "version": result.version,
            "values": result.values,
            "left": result.left,
            "answer": _answer(result, history=history).as_json(),
            "dispute": dispute.as_json() if dispute else None,
        }
    )


def _answer(result: SaveResult, *, history: bool) -> Answer:
    if result.values["correct"] is None:
        return Answer()
    doubt = Doubt(**result.doubt) if result.doubt else None
    return answer_words(
        rate=result.rate,
        accuracy=result.accuracy,
        stage=result.stage if history else "",
        doubt=doubt if history else bare(doubt),
    )


@dataclass
class CorrectionPage:
    """One row of a closed check: the value, the form for another one, and every change before."""

    request: ViewerRequest
    class_id: str
    check_id: str
    attempt_id: str
    form: CorrectionForm = field(init=False)
    row: GridRow = field(init=False)

    def __post_init__(self) -> None:
        viewer = self.request.viewer
        self.check, _ = scores.check_for_scores(viewer, self.class_id, self.check_id)
        if self.check.state != "closed" or not sees_history(viewer, self.check):
            raise Http404
        self.attempt = scores.row(viewer, self.check, self.attempt_id)
        self.row = one_row(viewer, self.check, self.attempt)
        self.form = CorrectionForm(self.request.POST or None, row=self.row)

    def accept(self) -> bool:
        if not self.form.is_valid():
            return False
        viewer = self.request.viewer
        try:
            corrections.correct_row(
                check_id=self.check_id,
                attempt_id=self.attempt_id,
                typed=self.form.typed(),
                why=self.form.cleaned_data["why"],
                base_version=self.form.cleaned_data["version"],
                by=viewer,
                on=viewer.today,
            )
        except Refused as refused:
            self.form.refuse(refused)
        except OutOfScope as missing:
            raise Http404 from missing
        return self.form.is_valid()

    def answer(self) -> HttpResponse:
        viewer = self.request.viewer
        access_records.note_opened(pupil=self.attempt.pupil, by=viewer, on=viewer.today)
        lines = [change_line(change, who, viewer) for change, who in scores.changes(viewer, self.attempt)]
        context = {
            "check": self.check,
            "group": self.check.class_group,
            "row": self.row,
            "skill": skill_label(self.attempt.skill.key, viewer.school),
            "form": self.form,
            "lines": [line for line in lines if line is not None],
        }
        return render(self.request, "group/correct.html", context, status=422 if self.form.is_bound else 200)

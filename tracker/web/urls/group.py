"""A class: gradebook, checks and scores."""

from django.urls import path

from tracker.web.views import group

ATTEMPT = "classes/<slug:class_id>/checks/<slug:check_id>/scores/<slug:attempt_id>/"

urlpatterns = [
    path("classes/<slug:class_id>/", group.overview, name="group-overview"),
    path("classes/<slug:class_id>/checks/<slug:check_id>/", group.check, name="group-check"),
    path("classes/<slug:class_id>/checks/<slug:check_id>/scores/", group.scores, name="group-scores"),
    path("classes/<slug:class_id>/checks/<slug:check_id>/close/", group.close, name="group-close"),
    path(f"{ATTEMPT}save/", group.save, name="group-save"),
    path(f"{ATTEMPT}correct/", group.correct, name="group-correct"),
    path(
        "classes/<slug:class_id>/checks/<slug:check_id>/conflicts/<slug:conflict_id>/settle/",
        group.settle,
        name="group-settle",
    ),
]

"""A class: gradebook, checks and scores."""

from django.urls import path

from tracker.web.views import group

urlpatterns = [
    path("classes/<slug:class_id>/", group.overview, name="group-overview"),
    path("classes/<slug:class_id>/checks/<slug:check_id>/", group.check, name="group-check"),
]

"""One pupil."""

from django.urls import URLPattern, URLResolver, path

from tracker.web.views import pupil

urlpatterns: list[URLPattern | URLResolver] = [
    path("pupils/<slug:pupil_id>/", pupil.progress, name="pupil-progress"),
    path("pupils/<slug:pupil_id>/flags/<slug:flag_id>/seen/", pupil.flag_seen, name="pupil-flag-seen"),
]

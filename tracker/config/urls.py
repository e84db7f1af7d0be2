"""The root of all addresses."""

from django.urls import include, path

urlpatterns = [
    path("", include("tracker.web.urls")),
]

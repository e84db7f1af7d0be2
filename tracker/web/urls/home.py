"""The landing page and the first pages by role."""

from django.urls import URLPattern, URLResolver, path

from tracker.web.views import home

urlpatterns: list[URLPattern | URLResolver] = [
    path("", home.landing, name="home-landing"),
    path("classes/", home.classes, name="home-classes"),
    path("today/", home.today, name="home-today"),
    path("groups/", home.groups, name="home-groups"),
]

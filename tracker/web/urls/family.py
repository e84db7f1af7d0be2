"""What a parent or carer sees."""

from django.urls import URLPattern, URLResolver, path

from tracker.web.views import family

urlpatterns: list[URLPattern | URLResolver] = [
    path("family/", family.home, name="family-home"),
]

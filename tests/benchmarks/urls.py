"""The product's addresses and one more: the base that pages are measured against."""

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import path

from tracker.web.permissions import ViewerRequest, needs
from tracker.web.urls import urlpatterns as product


@needs()
def base(request: ViewerRequest) -> HttpResponse:
    return render(request, "base.html")


urlpatterns = [path("bench-base/", base, name="bench-base"), *product]

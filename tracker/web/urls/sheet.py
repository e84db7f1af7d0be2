"""Sheets to look at and print."""

from django.urls import path

from tracker.web.views import sheet

urlpatterns = [
    path("sheets/", sheet.list, name="sheet-list"),
    path("sheets/make/", sheet.make, name="sheet-make"),
    path("sheets/<slug:sheet_id>/print/", sheet.print, name="sheet-print"),
]

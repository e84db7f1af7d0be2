"""Sheets to look at and print."""

from django.urls import path

from tracker.web.views import sheet

urlpatterns = [
    path("sheets/", sheet.list_page, name="sheet-list"),
    path("sheets/make/", sheet.make, name="sheet-make"),
    path("sheets/<slug:sheet_id>/print/", sheet.print_page, name="sheet-print"),
]

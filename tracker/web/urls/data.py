"""Files in and out."""

from django.urls import path

from tracker.web.views import data

urlpatterns = [
    path("data/load/", data.load, name="data-load"),
    path("data/load/preview/", data.preview, name="data-preview"),
    path("data/load/<slug:batch_id>/undo/", data.undo, name="data-undo"),
    path("data/export/", data.export, name="data-export"),
    path("data/export/<slug:kind>.csv", data.export_file, name="data-export-file"),
]

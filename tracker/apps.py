"""Registers the one Django app."""

from django.apps import AppConfig


class TrackerConfig(AppConfig):
    name = "tracker"
    default_auto_field = "django.db.models.BigAutoField"
    verbose_name = "Doublerule"

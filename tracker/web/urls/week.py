"""The teacher's week."""

from django.urls import path

from tracker.web.views import week

urlpatterns = [
    path("week/", week.overview, name="week-overview"),
    path("week/plan/<slug:class_id>/", week.plan, name="week-plan"),
    path("week/plan/<slug:class_id>/checks/<slug:check_id>/", week.change, name="week-change"),
    path("week/plan/<slug:class_id>/checks/<slug:check_id>/print/", week.print_page, name="week-print"),
]

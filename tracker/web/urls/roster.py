"""People, classes and years."""

from django.urls import URLPattern, URLResolver, path

from tracker.web.views import roster

urlpatterns: list[URLPattern | URLResolver] = [
    path("roster/", roster.overview, name="roster-overview"),
    path("roster/years/", roster.years, name="roster-years"),
    path("roster/years/<slug:year_id>/", roster.year, name="roster-year"),
    path("roster/classes/", roster.classes, name="roster-classes"),
    path("roster/classes/<slug:class_id>/", roster.group, name="roster-group"),
    path("roster/pupils/", roster.pupils, name="roster-pupils"),
    path("roster/pupils/<slug:pupil_id>/", roster.pupil, name="roster-pupil"),
    path("roster/pupils/<slug:pupil_id>/erase/", roster.erase, name="roster-erase"),
    path("roster/people/", roster.people, name="roster-people"),
    path("roster/people/<slug:user_id>/", roster.person, name="roster-person"),
    path("roster/marks/", roster.marks, name="roster-marks"),
    path("roster/marks/<slug:skill_key>/", roster.mark, name="roster-mark"),
    path("roster/school/", roster.school, name="roster-school"),
    path("roster/school/rules/", roster.rules, name="roster-rules"),
]

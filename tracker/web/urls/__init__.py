"""Every address of the product, by area."""

from tracker.web.urls import account, caseload, data, family, group, home, pupil, roster, school, sheet, week

urlpatterns = [
    *home.urlpatterns,
    *account.urlpatterns,
    *week.urlpatterns,
    *group.urlpatterns,
    *pupil.urlpatterns,
    *sheet.urlpatterns,
    *roster.urlpatterns,
    *data.urlpatterns,
    *family.urlpatterns,
    *caseload.urlpatterns,
    *school.urlpatterns,
]

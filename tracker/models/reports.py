"""Marks of a reporting period, and filters that a person keeps."""

from django.db import models
from django.db.models import Q

from tracker.models.identifiers import PublicIdField
from tracker.models.ladder import Skill
from tracker.models.people import User
from tracker.models.pupils import Pupil
from tracker.models.school import School, Term


class ReportMark(models.Model):
    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="report_marks")
    term = models.ForeignKey(Term, models.CASCADE, related_name="report_marks")
    skill = models.ForeignKey(Skill, models.PROTECT, null=True, blank=True)
    proposed = models.CharField(max_length=40, blank=True)
    judgement = models.CharField(max_length=40, blank=True)
    comment = models.CharField(max_length=600, blank=True)
    locked = models.BooleanField(default=False)
    judged_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    updated_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["pupil", "term", "skill"], name="report_mark_once"),
            models.UniqueConstraint(
                fields=["pupil", "term"], condition=Q(skill__isnull=True), name="report_mark_overall_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.judgement or self.proposed}"


class SavedView(models.Model):
    """A named filter; it holds no pupil's name."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    user = models.ForeignKey(User, models.CASCADE, related_name="saved_views")
    page = models.CharField(max_length=40)
    name = models.CharField(max_length=60)
    query = models.JSONField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["school", "user", "page", "name"], name="saved_view_once")]

    def __str__(self) -> str:
        return self.name

"""Extra teaching: as planned, as delivered, and what was decided."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from tracker.models.identifiers import PublicIdField
from tracker.models.ladder import Skill
from tracker.models.people import User
from tracker.models.pupils import Pupil
from tracker.models.school import PupilGroup, School
from tracker.models.standings import Calibration, Flag


class Intervention(models.Model):
    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="interventions")
    skill = models.ForeignKey(Skill, models.PROTECT)
    flag = models.ForeignKey(Flag, models.SET_NULL, null=True, blank=True, related_name="interventions")
    group = models.ForeignKey(PupilGroup, models.SET_NULL, null=True, blank=True)
    approach = models.CharField(max_length=200)
    provider = models.ForeignKey(User, models.SET_NULL, null=True, related_name="interventions")
    minutes = models.PositiveSmallIntegerField()
    sessions_a_week = models.PositiveSmallIntegerField()
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True)
    review_on = models.DateField()
    created_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    created_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(ends__isnull=True) | Q(ends__gte=F("starts")), name="intervention_dates_in_order"
            ),
            models.CheckConstraint(
                condition=Q(minutes__gt=0) & Q(sessions_a_week__gt=0), name="intervention_dose_above_zero"
            ),
        ]
        indexes = [models.Index(fields=["school", "review_on"])]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.approach}"


class Session(models.Model):
    """One session as delivered, or why it was not."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    intervention = models.ForeignKey(Intervention, models.CASCADE, related_name="sessions")
    on = models.DateField()
    delivered = models.BooleanField(default=True)
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    recorded_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["on", "id"]

    def __str__(self) -> str:
        return f"{self.intervention_id}: {self.on}"


class Review(models.Model):
    """A decision by named people, with the reason."""

    class Decision(models.TextChoices):
        CONTINUE = "continue", _("continue")
        CHANGE = "change", _("change")
        INTENSIFY = "intensify", _("intensify")
        FINISH = "finish", _("finish")
        TEAM = "team", _("bring to the school's team")

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    intervention = models.ForeignKey(Intervention, models.CASCADE, related_name="reviews")
    decision = models.CharField(max_length=10, choices=Decision.choices)
    why = models.CharField(max_length=600)
    on = models.DateField()
    next_on = models.DateField(null=True, blank=True)
    decided_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["on", "id"]

    def __str__(self) -> str:
        return f"{self.intervention_id}: {self.decision}"


class SupportStanding(models.Model):
    """A pupil's intervention now, rebuildable, so that the caseload sorts in the database."""

    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="support_standings")
    intervention = models.OneToOneField(Intervention, models.CASCADE, related_name="standing")
    sessions_planned = models.PositiveSmallIntegerField(default=0)
    sessions_delivered = models.PositiveSmallIntegerField(default=0)
    checks_since = models.PositiveSmallIntegerField(default=0)
    effect = models.FloatField(null=True, blank=True)
    review_on = models.DateField(null=True, blank=True)
    calibration = models.ForeignKey(Calibration, models.SET_NULL, null=True, blank=True)
    measures_version = models.CharField(max_length=20)
    updated_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["school", "review_on"])]

    def __str__(self) -> str:
        return f"{self.intervention_id}"

"""Pupils, where they are enrolled, and what is recorded about how they work."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from tracker.models.identifiers import PublicIdField
from tracker.models.ladder import Skill
from tracker.models.people import User
from tracker.models.school import ClassGroup, School


class Pupil(models.Model):
    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE, related_name="pupils")
    # The school's own reference tells namesakes apart; it is unique within the school.
    school_ref = models.CharField(max_length=40)
    given_name = models.CharField(max_length=80)
    family_name = models.CharField(max_length=80, blank=True)
    sort_name = models.CharField(max_length=170, db_index=True, help_text="folded, for order and jumping by letters")
    joined_on = models.DateField()
    left_on = models.DateField(null=True, blank=True)
    no_timed_checks = models.BooleanField(default=False)
    mode = models.CharField(max_length=12, default="written")
    adjustments = models.CharField(max_length=200, blank=True)
    written_method = models.CharField(max_length=80, blank=True, help_text="a written method taught before, if another")
    home_languages = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["sort_name", "school_ref"]
        constraints = [
            models.UniqueConstraint(fields=["school", "school_ref"], name="pupil_ref_once_a_school"),
            models.CheckConstraint(
                condition=Q(left_on__isnull=True) | Q(left_on__gte=F("joined_on")), name="pupil_dates_in_order"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.given_name} {self.family_name}".strip()


class Enrolment(models.Model):
    """A pupil's time in a class, with the grade."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="enrolments")
    class_group = models.ForeignKey(ClassGroup, models.CASCADE, related_name="enrolments")
    grade = models.PositiveSmallIntegerField()
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["pupil", "class_group", "starts"], name="enrolment_once"),
            models.CheckConstraint(
                condition=Q(ends__isnull=True) | Q(ends__gte=F("starts")), name="enrolment_dates_in_order"
            ),
            models.CheckConstraint(condition=Q(grade__lte=13), name="enrolment_grade_is_a_school_grade"),
        ]
        indexes = [models.Index(fields=["class_group", "starts"])]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.class_group_id}"


class Phase(models.Model):
    """A stretch of one pupil's series: begins at a change of teaching, of seconds allowed, or of year."""

    class Reason(models.TextChoices):
        TEACHING = "teaching", _("teaching changed")
        SECONDS = "seconds", _("time allowed changed")
        YEAR = "year", _("new school year")

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="phases")
    skill = models.ForeignKey(Skill, models.PROTECT)
    began_on = models.DateField()
    reason = models.CharField(max_length=12, choices=Reason.choices)
    label = models.CharField(max_length=80, blank=True)
    recorded_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["began_on"]
        constraints = [
            models.UniqueConstraint(fields=["pupil", "skill", "began_on", "reason"], name="phase_once"),
        ]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.reason}"


class MaterialRecord(models.Model):
    """How a pupil showed a skill without a clock: with things, drawn, written; and whether they can explain."""

    class Level(models.TextChoices):
        THINGS = "things", _("with things")
        DRAWN = "drawn", _("drawn")
        WRITTEN = "written", _("written")

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="material_records")
    skill = models.ForeignKey(Skill, models.PROTECT)
    level = models.CharField(max_length=10, choices=Level.choices)
    can_explain = models.BooleanField(default=False)
    on = models.DateField()
    recorded_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["on", "id"]
        indexes = [models.Index(fields=["pupil", "skill", "on"])]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.level}"


class Evidence(models.Model):
    """A dated note beside the numbers: observation, unit test, attendance, hearing and vision checked."""

    class Kind(models.TextChoices):
        OBSERVATION = "observation", _("observation")
        UNIT = "unit", _("unit work")
        ATTENDANCE = "attendance", _("attendance")
        SENSES = "senses", _("hearing and vision checked")
        OTHER = "other", _("other")

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="evidence")
    skill = models.ForeignKey(Skill, models.PROTECT, null=True, blank=True)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    text = models.CharField(max_length=600)
    on = models.DateField()
    recorded_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["on", "id"]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.kind}"

"""Where a pupil stands now: rebuildable rows, calibrations, flags and findings."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from tracker.models.checks import Attempt, Check
from tracker.models.identifiers import PublicIdField
from tracker.models.ladder import Skill
from tracker.models.people import User
from tracker.models.pupils import Phase, Pupil
from tracker.models.school import School, SchoolYear
from tracker.models.sheets import Sheet


class Calibration(models.Model):
    """Parameters and threshold of the stall model, fitted once and never changed."""

    school = models.ForeignKey(School, models.CASCADE, null=True, blank=True)
    skill = models.ForeignKey(Skill, models.PROTECT)
    grade = models.PositiveSmallIntegerField(null=True, blank=True)
    year = models.ForeignKey(SchoolYear, models.SET_NULL, null=True, blank=True)
    parameters = models.JSONField()
    threshold = models.FloatField()
    pupils_used = models.PositiveIntegerField()
    seed = models.PositiveBigIntegerField()
    measures_version = models.CharField(max_length=20)
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.skill_id}: {self.made_at:%Y-%m-%d}"


class Standing(models.Model):
    """One series now, or (series fields empty, `is_current`) the row that carries the stage for a pupil and skill."""

    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="standings")
    skill = models.ForeignKey(Skill, models.PROTECT)
    is_current = models.BooleanField(default=False)
    place = models.CharField(max_length=8, blank=True)
    mode = models.CharField(max_length=10, blank=True)
    phase = models.ForeignKey(Phase, models.CASCADE, null=True, blank=True)
    stage = models.CharField(max_length=12, blank=True)
    checks = models.PositiveSmallIntegerField(default=0)
    first_on = models.DateField(null=True, blank=True)
    last_on = models.DateField(null=True, blank=True)
    last_rate = models.FloatField(null=True, blank=True)
    last_accuracy = models.FloatField(null=True, blank=True)
    pooled_accuracy = models.FloatField(null=True, blank=True)
    mean_rate = models.FloatField(null=True, blank=True)
    chance_at_mark = models.FloatField(null=True, blank=True)
    mark_rate = models.FloatField(null=True, blank=True)
    mark_accuracy = models.FloatField(null=True, blank=True)
    mark_version = models.PositiveIntegerField(default=0)
    growth = models.FloatField(null=True, blank=True)
    growth_se = models.FloatField(null=True, blank=True)
    growth_low = models.FloatField(null=True, blank=True)
    growth_high = models.FloatField(null=True, blank=True)
    secure_on = models.DateField(null=True, blank=True)
    kept_on = models.DateField(null=True, blank=True)
    missing = models.JSONField(default=list)
    calibration = models.ForeignKey(Calibration, models.SET_NULL, null=True, blank=True)
    measures_version = models.CharField(max_length=20)
    stale = models.BooleanField(default=False)
    updated_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["pupil", "skill"], condition=Q(is_current=True), name="standing_current_once"
            ),
            models.UniqueConstraint(
                fields=["pupil", "skill", "place", "mode", "phase"],
                condition=Q(is_current=False, phase__isnull=False),
                name="standing_series_once",
            ),
            models.UniqueConstraint(
                fields=["pupil", "skill", "place", "mode"],
                condition=Q(is_current=False, phase__isnull=True),
                name="standing_first_series_once",
            ),
        ]
        indexes = [models.Index(fields=["school", "skill", "stage"]), models.Index(fields=["pupil", "is_current"])]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.skill_id} {self.stage}"


class Flag(models.Model):
    """A reason to look, with its evidence frozen on the day it was raised."""

    class Kind(models.TextChoices):
        LEVELLED = "levelled", _("growth has levelled off")
        LONG = "long-on-step", _("long on one step")
        ACCURACY = "accuracy-low", _("accuracy stays low")
        REGROUPING = "regrouping-gap", _("regrouping gap")
        SLIPPED = "slipped-back", _("slipped back")
        NO_CHECK = "no-recent-check", _("no recent check")

    class State(models.TextChoices):
        OPEN = "open", _("open")
        ACKNOWLEDGED = "acknowledged", _("seen")
        CLOSED = "closed", _("closed")
        WITHDRAWN = "withdrawn", _("withdrawn")

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="flags")
    skill = models.ForeignKey(Skill, models.PROTECT)
    kind = models.CharField(max_length=16, choices=Kind.choices)
    state = models.CharField(max_length=14, choices=State.choices, default=State.OPEN)
    raised_on = models.DateField()
    raised_at = models.DateTimeField()
    check_sat = models.ForeignKey(Check, models.SET_NULL, null=True, blank=True, related_name="flags")
    evidence = models.JSONField()
    attempts_then = models.PositiveSmallIntegerField(default=0, help_text="checks of the skill when it was raised")
    holder = models.ForeignKey(User, models.SET_NULL, null=True, blank=True, related_name="held_flags")
    seen_by = models.ForeignKey(User, models.SET_NULL, null=True, blank=True, related_name="+")
    seen_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(User, models.SET_NULL, null=True, blank=True, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_why = models.CharField(max_length=300, blank=True)
    calibration = models.ForeignKey(Calibration, models.SET_NULL, null=True, blank=True)
    measures_version = models.CharField(max_length=20)

    class Meta:
        ordering = ["-raised_on", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["pupil", "skill", "kind"],
                condition=Q(state__in=["open", "acknowledged"]),
                name="flag_once_while_it_stands",
            ),
            models.CheckConstraint(
                condition=~Q(state__in=["closed", "withdrawn"]) | (Q(ended_at__isnull=False) & ~Q(ended_why="")),
                name="flag_ended_says_when_and_why",
            ),
            models.CheckConstraint(
                condition=~Q(state="acknowledged") | Q(seen_at__isnull=False), name="flag_seen_says_when"
            ),
        ]
        indexes = [models.Index(fields=["school", "state", "raised_on"])]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.kind}"


class Finding(models.Model):
    """What a pupil's answers on a sheet showed when they were read; dated, never a trait."""

    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="findings")
    attempt = models.ForeignKey(Attempt, models.CASCADE, related_name="findings")
    sheet = models.ForeignKey(Sheet, models.PROTECT)
    named = models.JSONField(default=list)
    ranked = models.JSONField(default=list)
    probability_none = models.FloatField(null=True)
    not_visible = models.JSONField(default=list)
    catalogue_version = models.CharField(max_length=20)
    on = models.DateField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["attempt", "catalogue_version"], name="finding_once_a_catalogue"),
        ]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.on}"

"""Skills, the marks that hold for them, and when a pupil reached one."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from tracker.models.identifiers import PublicIdField
from tracker.models.people import User
from tracker.models.school import School


class Skill(models.Model):
    """One step of the ladder. The rows mirror measures.ladder, which `sync_reference` writes here."""

    key = models.CharField(max_length=30, unique=True)
    label = models.CharField(max_length=120)
    position = models.PositiveSmallIntegerField()
    twin = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="+")
    regroups = models.BooleanField(default=False)
    kind = models.CharField(max_length=10, default="skill", help_text="skill, year or copying")
    standards = models.JSONField(default=list)
    default_seconds = models.PositiveSmallIntegerField(null=True, blank=True)
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["position"]

    def __str__(self) -> str:
        return self.label


class Mark(models.Model):
    """A working mark: accuracy and rate, never changed once written; a new one takes over from its date."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE, related_name="marks")
    skill = models.ForeignKey(Skill, models.PROTECT)
    grade = models.PositiveSmallIntegerField(null=True, blank=True)
    pupil = models.ForeignKey("tracker.Pupil", models.CASCADE, null=True, blank=True, related_name="own_marks")
    accuracy = models.DecimalField(max_digits=4, decimal_places=3)
    rate = models.DecimalField(max_digits=6, decimal_places=2)
    source = models.CharField(max_length=200)
    version = models.PositiveIntegerField()
    valid_from = models.DateField()
    why = models.CharField(max_length=300, blank=True)
    set_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["skill", "version"]
        constraints = [
            models.UniqueConstraint(fields=["school", "skill", "version"], name="mark_version_once"),
            models.CheckConstraint(condition=Q(accuracy__gt=0) & Q(accuracy__lte=1), name="mark_accuracy_is_a_share"),
            models.CheckConstraint(condition=Q(rate__gt=0), name="mark_rate_above_zero"),
            models.CheckConstraint(condition=Q(pupil__isnull=True) | ~Q(why=""), name="own_mark_says_why"),
        ]

    def __str__(self) -> str:
        return f"{self.rate} ({self.version})"


class MasteryEvent(models.Model):
    """When a skill became secure or kept, under which mark; later marks never undo it."""

    class Kind(models.TextChoices):
        SECURE = "secure", _("secure")
        KEPT = "kept", _("kept")

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey("tracker.Pupil", models.CASCADE, related_name="mastery_events")
    skill = models.ForeignKey(Skill, models.PROTECT)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    on = models.DateField()
    attempt = models.ForeignKey("tracker.Attempt", models.SET_NULL, null=True, related_name="+")
    # The default marks have no row, so the mark's numbers and version are kept here in words.
    mark_accuracy = models.DecimalField(max_digits=4, decimal_places=3)
    mark_rate = models.DecimalField(max_digits=6, decimal_places=2, null=True)
    mark_source = models.CharField(max_length=200)
    mark_version = models.PositiveIntegerField(default=0)
    chance = models.FloatField(null=True)
    measures_version = models.CharField(max_length=20)
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["on", "id"]
        constraints = [
            models.UniqueConstraint(fields=["pupil", "skill", "kind"], name="mastery_event_once"),
        ]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.kind}"

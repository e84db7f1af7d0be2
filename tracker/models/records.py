"""What was changed, who looked, what was loaded and what was erased."""

from django.db import models

from tracker.models.identifiers import PublicIdField
from tracker.models.people import User
from tracker.models.school import School


class ImportBatch(models.Model):
    """One file that was loaded, so that it can be recognised and undone."""

    class Kind(models.TextChoices):
        ROSTER = "roster"
        SCORES = "scores"

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    kind = models.CharField(max_length=10, choices=Kind.choices)
    file_name = models.CharField(max_length=200)
    file_digest = models.CharField(max_length=64)
    rows = models.PositiveIntegerField()
    made = models.PositiveIntegerField(default=0)
    same = models.PositiveIntegerField(default=0)
    # What the file made and what stood before, by public id: enough to undo it.
    trail = models.JSONField(default=dict)
    loaded_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    loaded_on = models.DateField()
    loaded_at = models.DateTimeField()
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-loaded_at"]

    def __str__(self) -> str:
        return self.file_name


class ErasureEntry(models.Model):
    """A pupil who was erased: replayed after a restore, so it holds only the school's id and the public id."""

    school_id_then = models.BigIntegerField()
    pupil_public_id = models.CharField(max_length=12, unique=True)
    on = models.DateField()
    recorded_at = models.DateTimeField()

    def __str__(self) -> str:
        return self.pupil_public_id


class ChangeRecord(models.Model):
    """Append-only: who changed what, when and why. No foreign keys, so that nothing can take it along."""

    school_key = models.BigIntegerField(null=True)
    recorded_at = models.DateTimeField()
    on = models.DateField()
    by_key = models.BigIntegerField(null=True)
    action = models.CharField(max_length=60)
    subject = models.CharField(max_length=30)
    subject_key = models.CharField(max_length=24, blank=True)
    pupil_key = models.CharField(max_length=12, blank=True, help_text="the pupil's public id")
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)
    why = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["recorded_at", "id"]
        indexes = [
            models.Index(fields=["subject", "subject_key"]),
            models.Index(fields=["pupil_key", "recorded_at"]),
            models.Index(fields=["school_key", "recorded_at"]),
        ]

    def __str__(self) -> str:
        return f"{self.action} {self.subject_key}"


class AccessRecord(models.Model):
    """One row a user, pupil and day: who opened pages about one pupil."""

    school_key = models.BigIntegerField()
    user_key = models.BigIntegerField()
    pupil_key = models.CharField(max_length=12)
    on = models.DateField()
    first_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user_key", "pupil_key", "on"], name="access_once_a_day"),
        ]
        indexes = [models.Index(fields=["pupil_key", "on"])]

    def __str__(self) -> str:
        return f"{self.user_key} {self.pupil_key}"

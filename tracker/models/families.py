"""What families read, and what they can do at home."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from tracker.models.identifiers import PublicIdField
from tracker.models.ladder import Skill
from tracker.models.people import User
from tracker.models.pupils import Pupil
from tracker.models.school import School


class HomeActivity(models.Model):
    """A five-minute idea for home."""

    key = models.CharField(max_length=40)
    skill = models.ForeignKey(Skill, models.PROTECT, null=True, blank=True)
    language = models.CharField(max_length=35, default="en")
    text = models.CharField(max_length=600)
    reviewed = models.BooleanField(default=False, help_text="reviewed by a fluent speaker")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["key", "language"], name="home_activity_once_a_language")]

    def __str__(self) -> str:
        return self.key


class Note(models.Model):
    class State(models.TextChoices):
        DRAFT = "draft", _("draft")
        APPROVED = "approved", _("approved")
        SENT = "sent", _("sent")

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="notes")
    skill = models.ForeignKey(Skill, models.PROTECT, null=True, blank=True)
    language = models.CharField(max_length=35, default="en")
    state = models.CharField(max_length=10, choices=State.choices, default=State.DRAFT)
    facts = models.JSONField()
    text = models.JSONField()
    wording_version = models.CharField(max_length=20)
    translation_reviewed = models.BooleanField(default=False)
    activity = models.ForeignKey(HomeActivity, models.SET_NULL, null=True, blank=True)
    on = models.DateField()
    drafted_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    approved_by = models.ForeignKey(User, models.SET_NULL, null=True, blank=True, related_name="+")
    approved_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-on", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="draft", approved_at__isnull=True)
                | (~Q(state="draft") & Q(approved_at__isnull=False)),
                name="note_approved_says_when",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.on}"


class Reading(models.Model):
    """A guardian opened a note."""

    school = models.ForeignKey(School, models.CASCADE)
    note = models.ForeignKey(Note, models.CASCADE, related_name="readings")
    user = models.ForeignKey(User, models.CASCADE, related_name="+")
    first_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["note", "user"], name="reading_once")]

    def __str__(self) -> str:
        return f"{self.note_id}: {self.user_id}"

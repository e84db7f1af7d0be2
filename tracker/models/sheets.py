"""Printed sets of items, kept item by item so that a sheet is the same for ever."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from tracker.models.identifiers import PublicIdField
from tracker.models.ladder import Skill
from tracker.models.school import School


class Sheet(models.Model):
    class Kind(models.TextChoices):
        TIMED = "timed", _("timed sheet")
        DIAGNOSTIC = "diagnostic", _("diagnostic sheet")
        FOLLOW_UP = "follow-up", _("follow-up sheet")
        COPYING = "copying", _("copying sheet")
        PLACEMENT = "placement", _("placement sheet")
        OUTSIDE = "outside", _("sheet from outside")

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE, related_name="sheets")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    # A placement sheet spans several skills and has none of its own.
    skill = models.ForeignKey(Skill, models.PROTECT, null=True, blank=True)
    form = models.PositiveIntegerField(default=1)
    code = models.CharField(max_length=12, help_text="printed on the sheet and typed at entry")
    name = models.CharField(max_length=120, blank=True)
    seconds = models.PositiveIntegerField(null=True, blank=True)
    # Null only for a sheet from outside whose digits nobody counted.
    digits_possible = models.PositiveIntegerField(null=True, blank=True)
    seed = models.PositiveBigIntegerField(null=True, blank=True)
    generator = models.CharField(max_length=20, blank=True)
    digest = models.CharField(max_length=64, blank=True)
    created_at = models.DateTimeField()
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["skill", "form"]
        constraints = [
            models.UniqueConstraint(fields=["school", "code"], name="sheet_code_once_a_school"),
            models.UniqueConstraint(
                fields=["school", "kind", "skill", "form", "generator"],
                condition=~Q(kind="outside"),
                name="sheet_form_once",
            ),
            models.CheckConstraint(
                condition=Q(seconds__isnull=True) | Q(seconds__gt=0), name="sheet_seconds_above_zero"
            ),
        ]

    def __str__(self) -> str:
        return self.name or self.code


class SheetItem(models.Model):
    """One item as printed, with the digits of its answer and the running total on the key."""

    school = models.ForeignKey(School, models.CASCADE)
    sheet = models.ForeignKey(Sheet, models.CASCADE, related_name="items")
    number = models.PositiveSmallIntegerField()
    operation = models.CharField(max_length=4)
    top = models.PositiveIntegerField()
    bottom = models.PositiveIntegerField(null=True, blank=True)
    unknown = models.CharField(max_length=8, default="answer")
    answer = models.CharField(max_length=12)
    digits = models.PositiveSmallIntegerField()
    running_digits = models.PositiveIntegerField()
    skill_key = models.CharField(max_length=30, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["sheet", "number"], name="item_number_once_a_sheet")]

    def __str__(self) -> str:
        return f"{self.number}: {self.top} {self.operation} {self.bottom}"

"""The school, its years, terms, breaks and classes."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from tracker.models.identifiers import PublicIdField


class School(models.Model):
    """One tenant. Every row that belongs to a pupil carries its school."""

    class DateOrder(models.TextChoices):
        DMY = "DMY", _("day, month, year")
        MDY = "MDY", _("month, day, year")
        YMD = "YMD", _("year, month, day")

    class Typing(models.TextChoices):
        CORRECT_WRONG = "correct-wrong", _("digits correct, digits wrong")
        REACHED_WRONG = "reached-wrong", _("last item reached, digits wrong")

    public_id = PublicIdField()
    name = models.CharField(max_length=120)
    timezone = models.CharField(max_length=60, default="UTC")
    language = models.CharField(max_length=20, default="en")
    week_start = models.PositiveSmallIntegerField(default=0, help_text="0 is Monday, 6 is Sunday")
    date_order = models.CharField(max_length=3, choices=DateOrder.choices, default=DateOrder.DMY)
    typing = models.CharField(max_length=20, choices=Typing.choices, default=Typing.CORRECT_WRONG)
    # The school's own words for grade, regrouping and subtract; keys as in the ladder.
    words = models.JSONField(default=dict, blank=True)
    # Overrides of measures.rules.Rules by field name; empty means the defaults of the measures version.
    rules = models.JSONField(default=dict, blank=True)
    # Keys of ladder skills that this school does not use.
    skills_off = models.JSONField(default=list, blank=True)
    is_demo = models.BooleanField(default=False)
    created_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(week_start__lte=6), name="school_week_start_is_a_weekday"),
        ]

    def __str__(self) -> str:
        return self.name


class SchoolYear(models.Model):
    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE, related_name="years")
    name = models.CharField(max_length=40)
    starts = models.DateField()
    ends = models.DateField()

    class Meta:
        ordering = ["starts"]
        constraints = [
            models.UniqueConstraint(fields=["school", "name"], name="year_name_once_a_school"),
            models.CheckConstraint(condition=Q(ends__gt=F("starts")), name="year_ends_after_it_starts"),
        ]

    def __str__(self) -> str:
        return self.name


class Term(models.Model):
    """A reporting period of a year."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    year = models.ForeignKey(SchoolYear, models.CASCADE, related_name="terms")
    name = models.CharField(max_length=40)
    starts = models.DateField()
    ends = models.DateField()
    frozen_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["starts"]
        constraints = [
            models.UniqueConstraint(fields=["year", "name"], name="term_name_once_a_year"),
            models.CheckConstraint(condition=Q(ends__gt=F("starts")), name="term_ends_after_it_starts"),
        ]

    def __str__(self) -> str:
        return self.name


class Break(models.Model):
    """Days without school; the calendar axis runs on through them."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    year = models.ForeignKey(SchoolYear, models.CASCADE, related_name="breaks")
    name = models.CharField(max_length=40)
    starts = models.DateField()
    ends = models.DateField()

    class Meta:
        ordering = ["starts"]
        constraints = [
            models.CheckConstraint(condition=Q(ends__gte=F("starts")), name="break_ends_on_or_after_its_start"),
        ]

    def __str__(self) -> str:
        return self.name


class ClassGroup(models.Model):
    """A class of one year; its pupils may be of several grades."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE, related_name="class_groups")
    year = models.ForeignKey(SchoolYear, models.CASCADE, related_name="class_groups")
    name = models.CharField(max_length=60)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["year", "name"], name="class_name_once_a_year")]

    def __str__(self) -> str:
        return self.name


class PupilGroup(models.Model):
    """A small group that an assistant or provider works with."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    name = models.CharField(max_length=60)
    holder = models.ForeignKey("tracker.User", models.PROTECT, related_name="pupil_groups")
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends__isnull=True) | Q(ends__gte=F("starts")), name="pupil_group_dates_in_order"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class GroupPlace(models.Model):
    """A pupil's time in a small group."""

    school = models.ForeignKey(School, models.CASCADE)
    group = models.ForeignKey(PupilGroup, models.CASCADE, related_name="places")
    pupil = models.ForeignKey("tracker.Pupil", models.CASCADE, related_name="group_places")
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["group", "pupil", "starts"], name="group_place_once"),
            models.CheckConstraint(
                condition=Q(ends__isnull=True) | Q(ends__gte=F("starts")), name="group_place_dates_in_order"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.group_id}: {self.pupil_id}"

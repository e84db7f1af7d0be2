"""Checks, each pupil's attempt, answers, and what makes a save safe to repeat."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from tracker.models.identifiers import PublicIdField
from tracker.models.ladder import Skill
from tracker.models.people import User
from tracker.models.pupils import Phase, Pupil
from tracker.models.school import ClassGroup, PupilGroup, School, SchoolYear
from tracker.models.sheets import Sheet, SheetItem


class Check(models.Model):
    """What a class, a small group or one pupil sat on a date. Open, then closed."""

    class State(models.TextChoices):
        OPEN = "open", _("open")
        CLOSED = "closed", _("closed")

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE, related_name="checks")
    year = models.ForeignKey(SchoolYear, models.CASCADE)
    class_group = models.ForeignKey(ClassGroup, models.CASCADE, null=True, blank=True, related_name="checks")
    pupil_group = models.ForeignKey(PupilGroup, models.CASCADE, null=True, blank=True, related_name="checks")
    pupil = models.ForeignKey(Pupil, models.CASCADE, null=True, blank=True, related_name="own_checks")
    on = models.DateField()
    state = models.CharField(max_length=8, choices=State.choices, default=State.OPEN)
    created_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    created_at = models.DateTimeField()
    closed_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-on", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(class_group__isnull=False, pupil_group__isnull=True, pupil__isnull=True)
                | Q(class_group__isnull=True, pupil_group__isnull=False, pupil__isnull=True)
                | Q(class_group__isnull=True, pupil_group__isnull=True, pupil__isnull=False),
                name="check_is_for_one_class_group_or_pupil",
            ),
            models.CheckConstraint(
                condition=Q(state="open", closed_at__isnull=True) | Q(state="closed", closed_at__isnull=False),
                name="closed_check_says_when",
            ),
        ]
        indexes = [models.Index(fields=["class_group", "-on"]), models.Index(fields=["school", "state", "on"])]

    def __str__(self) -> str:
        return f"{self.on}"


class Attempt(models.Model):
    """One pupil's row of a check. Observations are stored, rates never."""

    class Status(models.TextChoices):
        DUE = "due", _("due")
        DONE = "done", _("done")
        ABSENT = "absent", _("absent")
        STOPPED = "stopped", _("stopped")
        NOT_GIVEN = "not-given", _("not given")

    class Mode(models.TextChoices):
        WRITTEN = "written", _("written")
        ORAL = "oral", _("oral")
        SCRIBED = "scribed", _("scribed")
        KEYBOARD = "keyboard", _("keyboard")
        TILES = "tiles", _("number tiles")

    class Setting(models.TextChoices):
        CLASS = "class", _("in class")
        SMALL_GROUP = "small-group", _("in a small group")
        HOME = "home", _("at home")
        REMOTE = "remote", _("remote")

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    check_sat = models.ForeignKey(Check, models.CASCADE, related_name="attempts")
    pupil = models.ForeignKey(Pupil, models.CASCADE, related_name="attempts")
    skill = models.ForeignKey(Skill, models.PROTECT)
    sheet = models.ForeignKey(Sheet, models.PROTECT, null=True, blank=True, related_name="attempts")
    # The class and grade on that day: the class-week shift and form effects are told from these.
    class_group = models.ForeignKey(ClassGroup, models.SET_NULL, null=True, blank=True)
    grade = models.PositiveSmallIntegerField(null=True, blank=True)
    phase = models.ForeignKey(Phase, models.SET_NULL, null=True, blank=True)
    taken_on = models.DateField()
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.DUE)
    mode = models.CharField(max_length=10, choices=Mode.choices, default=Mode.WRITTEN)
    setting = models.CharField(max_length=12, choices=Setting.choices, default=Setting.CLASS)
    adjustments = models.CharField(max_length=200, blank=True)
    correct = models.PositiveIntegerField(null=True, blank=True)
    wrong = models.PositiveIntegerField(null=True, blank=True)
    omitted = models.PositiveIntegerField(null=True, blank=True)
    seconds = models.PositiveIntegerField(null=True, blank=True)
    typed_as = models.CharField(max_length=20, choices=School.Typing.choices, blank=True)
    reached = models.PositiveSmallIntegerField(null=True, blank=True)
    regroup_correct = models.PositiveIntegerField(null=True, blank=True)
    regroup_wrong = models.PositiveIntegerField(null=True, blank=True)
    plain_correct = models.PositiveIntegerField(null=True, blank=True)
    plain_wrong = models.PositiveIntegerField(null=True, blank=True)
    # Somebody looked at a doubtful entry again and says it is as written.
    confirmed = models.BooleanField(default=False)
    version = models.PositiveIntegerField(default=0)
    entered_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    entered_at = models.DateTimeField(null=True, blank=True)
    import_batch = models.ForeignKey(
        "tracker.ImportBatch", models.SET_NULL, null=True, blank=True, related_name="attempts"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["check_sat", "pupil", "skill"], name="attempt_once_a_check_and_skill"),
            models.CheckConstraint(
                condition=Q(seconds__isnull=True) | Q(seconds__gt=0), name="attempt_seconds_never_zero"
            ),
            models.CheckConstraint(
                condition=~Q(status="done") | Q(correct__isnull=False, wrong__isnull=False),
                name="attempt_done_has_counts",
            ),
            models.CheckConstraint(
                condition=Q(status__in=["done", "stopped"])
                | Q(correct__isnull=True, wrong__isnull=True, omitted__isnull=True),
                name="attempt_counts_only_when_sat",
            ),
            models.CheckConstraint(
                condition=Q(correct__isnull=True, wrong__isnull=True) | Q(correct__isnull=False, wrong__isnull=False),
                name="attempt_counts_together",
            ),
        ]
        indexes = [
            models.Index(fields=["pupil", "skill", "taken_on"]),
            models.Index(fields=["class_group", "skill", "taken_on"]),
            models.Index(fields=["school", "taken_on"]),
        ]

    def __str__(self) -> str:
        return f"{self.pupil_id}: {self.status}"


class Answer(models.Model):
    """What the pupil wrote for one item, kept as written."""

    class Status(models.TextChoices):
        WRITTEN = "written", _("written")
        BLANK = "blank", _("blank")
        ILLEGIBLE = "illegible", _("illegible")
        NOT_REACHED = "not-reached", _("not reached")

    school = models.ForeignKey(School, models.CASCADE)
    attempt = models.ForeignKey(Attempt, models.CASCADE, related_name="answers")
    item = models.ForeignKey(SheetItem, models.PROTECT, related_name="written_answers")
    written = models.CharField(max_length=20, blank=True)
    status = models.CharField(max_length=12, choices=Status.choices, default=Status.WRITTEN)
    version = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["attempt", "item"], name="answer_once_an_item")]

    def __str__(self) -> str:
        return f"{self.item_id}: {self.written}"


class SaveKey(models.Model):
    """A client's key for one save and the result it got, so that a repeat changes nothing."""

    school = models.ForeignKey(School, models.CASCADE)
    user = models.ForeignKey(User, models.CASCADE, related_name="+")
    attempt = models.ForeignKey(Attempt, models.CASCADE, related_name="save_keys")
    key = models.CharField(max_length=40)
    result = models.JSONField()
    at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["user", "key"], name="save_key_once_a_user")]
        indexes = [models.Index(fields=["at"])]

    def __str__(self) -> str:
        return self.key


class Conflict(models.Model):
    """Two people typed different values from the same base; the one not kept waits here for a decision."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    attempt = models.ForeignKey(Attempt, models.CASCADE, related_name="conflicts")
    base_version = models.PositiveIntegerField()
    kept = models.JSONField()
    lost = models.JSONField()
    kept_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    lost_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField()
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")
    took_lost = models.BooleanField(null=True, blank=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(settled_at__isnull=True, took_lost__isnull=True)
                | Q(settled_at__isnull=False, took_lost__isnull=False),
                name="conflict_settled_together",
            ),
            models.CheckConstraint(condition=~Q(kept=F("lost")), name="conflict_values_differ"),
        ]

    def __str__(self) -> str:
        return f"{self.attempt_id}: {self.base_version}"

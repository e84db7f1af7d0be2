"""Accounts, and what each person is to a school, a class or a child."""

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from tracker.models.identifiers import PublicIdField
from tracker.models.school import ClassGroup, School


class UserManager(BaseUserManager["User"]):
    """Finds a user by the name they sign in with, in any case."""

    def get_by_natural_key(self, username: str | None) -> "User":
        return self.get(username__iexact=username)


class User(AbstractBaseUser):
    """Somebody who signs in. What they may see comes from dated memberships, never from this row."""

    public_id = PublicIdField()
    username = models.CharField(max_length=60, unique=True)
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    language = models.CharField(max_length=20, blank=True)
    is_active = models.BooleanField(default=True)
    date_joined = models.DateTimeField()

    USERNAME_FIELD = "username"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    objects = UserManager()

    class Meta:
        constraints = [
            models.UniqueConstraint(Lower("username"), name="username_once_in_any_case"),
        ]

    def __str__(self) -> str:
        return self.name


class Role(models.TextChoices):
    TEACHER = "teacher", _("teacher")
    COVER = "cover", _("covering teacher")
    ASSISTANT = "assistant", _("assistant")
    PROVIDER = "provider", _("provider")
    COORDINATOR = "coordinator", _("coordinator")
    DEPUTY = "deputy", _("deputy coordinator")
    OFFICE = "office", _("office")
    PARENT = "parent", _("parent or carer")
    HEAD = "head", _("head")


class Membership(models.Model):
    """A dated role at a school; a person may hold several."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE, related_name="memberships")
    user = models.ForeignKey(User, models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=20, choices=Role.choices)
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["school", "user", "role", "starts"], name="membership_once"),
            models.CheckConstraint(
                condition=Q(ends__isnull=True) | Q(ends__gte=F("starts")), name="membership_dates_in_order"
            ),
            models.CheckConstraint(condition=~Q(role="cover") | Q(ends=F("starts")), name="cover_lasts_one_day"),
        ]

    def __str__(self) -> str:
        return f"{self.user_id}: {self.role}"


class Teaching(models.Model):
    """Who takes a class, from when to when. A covering teacher's row lasts one day."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    user = models.ForeignKey(User, models.CASCADE, related_name="teachings")
    class_group = models.ForeignKey(ClassGroup, models.CASCADE, related_name="teachings")
    cover = models.BooleanField(default=False)
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "class_group", "starts"], name="teaching_once"),
            models.CheckConstraint(
                condition=Q(ends__isnull=True) | Q(ends__gte=F("starts")), name="teaching_dates_in_order"
            ),
            models.CheckConstraint(condition=Q(cover=False) | Q(ends=F("starts")), name="cover_teaching_one_day"),
        ]

    def __str__(self) -> str:
        return f"{self.user_id}: {self.class_group_id}"


class Guardian(models.Model):
    """A family member who may see one child, between dates."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    user = models.ForeignKey(User, models.CASCADE, related_name="guardianships")
    pupil = models.ForeignKey("tracker.Pupil", models.CASCADE, related_name="guardians")
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True)
    # Families are asked: how to be addressed, which digits, which way notes reach them.
    form_of_address = models.CharField(max_length=80, blank=True)
    digits = models.CharField(max_length=20, blank=True)
    channel = models.CharField(max_length=20, default="paper")
    language = models.CharField(max_length=35, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "pupil", "starts"], name="guardian_once"),
            models.CheckConstraint(
                condition=Q(ends__isnull=True) | Q(ends__gte=F("starts")), name="guardian_dates_in_order"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user_id}: {self.pupil_id}"


class ProviderAssignment(models.Model):
    """A provider of extra teaching and a pupil on their list."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    user = models.ForeignKey(User, models.CASCADE, related_name="provider_assignments")
    pupil = models.ForeignKey("tracker.Pupil", models.CASCADE, related_name="provider_assignments")
    starts = models.DateField()
    ends = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "pupil", "starts"], name="provider_assignment_once"),
            models.CheckConstraint(
                condition=Q(ends__isnull=True) | Q(ends__gte=F("starts")), name="provider_assignment_dates_in_order"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user_id}: {self.pupil_id}"


class UserSession(models.Model):
    """A signed-in browser, so that people can list and end their own."""

    public_id = PublicIdField()
    user = models.ForeignKey(User, models.CASCADE, related_name="own_sessions")
    session_key = models.CharField(max_length=64, unique=True)
    signed_in_at = models.DateTimeField()
    seen_at = models.DateTimeField()
    device = models.CharField(max_length=120, blank=True)

    class Meta:
        indexes = [models.Index(fields=["user", "-seen_at"])]

    def __str__(self) -> str:
        return f"{self.user_id}: {self.device}"


class AccessCode(models.Model):
    """A one-time code that lets somebody in once; only its hash is kept."""

    public_id = PublicIdField()
    school = models.ForeignKey(School, models.CASCADE)
    user = models.ForeignKey(User, models.CASCADE, related_name="access_codes")
    purpose = models.CharField(max_length=20)
    code_hash = models.CharField(max_length=128)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    created_by = models.ForeignKey(User, models.SET_NULL, null=True, related_name="+")

    class Meta:
        indexes = [models.Index(fields=["user", "purpose"])]

    def __str__(self) -> str:
        return f"{self.user_id}: {self.purpose}"

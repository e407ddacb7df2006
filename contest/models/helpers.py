"""Who helps: volunteers let in with a join code, each with a duty."""

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint
from django.db.models.functions import Lower, Now
from django.utils.translation import gettext_lazy as _

from contest.book.text import LONGEST_NAME
from contest.models.committee import CommitteeOfficial
from contest.models.names import Names
from contest.models.outline import Contest
from contest.models.people import ReasonsOfficial

NAME_LENGTH = LONGEST_NAME


class Duty(models.TextChoices):
    """What a helper is let in for. Each duty reaches only its own pages."""

    TABULATOR = "tabulator", _("Tabulator")
    KEYS = "keys", _("Keys")
    REASONS = "reasons", _("Reasons")
    ROOM = "room", _("Reasons room")
    OFFICIAL = "official", _("Official")
    COMMITTEE = "committee", _("Committee")
    CHECK_IN = "check-in", _("Check-in")
    ANNOUNCER = "announcer", _("Announcer")


ONE_OFFICIALS = (Duty.ROOM, Duty.COMMITTEE)
"""Duties of one official each, who has a code of their own."""


class JoinCode(models.Model):
    """The code that lets helpers of one duty into one contest; unique, so that the code alone says where it leads.

    In a reasons room each official's tablet has a code of its own: nobody else's scores can be given or seen with it.
    So has each official of a committee.
    """

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="join_codes")
    duty = models.CharField(max_length=9, choices=Duty)
    official = models.OneToOneField(ReasonsOfficial, models.CASCADE, null=True, blank=True, related_name="join_code")
    committee_official = models.OneToOneField(
        CommitteeOfficial, models.CASCADE, null=True, blank=True, related_name="join_code"
    )
    code = models.CharField(max_length=12, unique=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(
                fields=["contest", "duty"],
                condition=Q(official__isnull=True, committee_official__isnull=True),
                name="join_code_of_duty_unique",
            ),
            CheckConstraint(
                condition=Q(duty=Duty.ROOM, official__isnull=False) | ~Q(duty=Duty.ROOM) & Q(official__isnull=True),
                name="join_code_of_room_official",
            ),
            CheckConstraint(
                condition=Q(duty=Duty.COMMITTEE, committee_official__isnull=False)
                | ~Q(duty=Duty.COMMITTEE) & Q(committee_official__isnull=True),
                name="join_code_of_committee_official",
            ),
            CheckConstraint(condition=Q(duty__in=Duty.values), name="join_code_duty"),
        ]

    def __str__(self) -> str:
        return self.code


class Helper(models.Model):
    """A volunteer who was let in. Two who are in at once have different names: a name says who read a card.

    `official` is the one whose tablet it is, in a reasons room; null for every other duty, and once the official is
    removed; so is `committee_official` of who places for a committee. `device` stands for the browser that they joined
    with, so that it comes back under the same name; empty for one that keeps nothing.

    Who helps in every contest of an event is a row in each, and `together` is the same in all of them: they are made,
    and go out, together.
    """

    holds_names = Names(people=("name",), emptied=("device",))

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="helpers")
    duty = models.CharField(max_length=9, choices=Duty)
    official = models.ForeignKey(ReasonsOfficial, models.SET_NULL, null=True, blank=True, related_name="tablets")
    committee_official = models.ForeignKey(
        CommitteeOfficial, models.SET_NULL, null=True, blank=True, related_name="devices"
    )
    name = models.CharField(max_length=NAME_LENGTH)
    device = models.CharField(max_length=64, blank=True)
    together = models.UUIDField(null=True, blank=True, editable=False)
    joined_at = models.DateTimeField(auto_now_add=True)
    seen_at = models.DateTimeField(auto_now_add=True)
    left_at = models.DateTimeField(null=True, blank=True)  # left, or was shown out

    class Meta:
        ordering = ["joined_at"]
        constraints = [
            UniqueConstraint("contest", Lower("name"), condition=Q(left_at__isnull=True), name="helper_name_unique"),
            # In this order: whoever goes to another contest of the event is looked up by it.
            UniqueConstraint(
                fields=["together", "contest"], condition=Q(left_at__isnull=True), name="helper_once_a_contest"
            ),
            CheckConstraint(
                condition=Q(together__isnull=True) | ~Q(duty__in=ONE_OFFICIALS), name="helper_together_no_official"
            ),
            CheckConstraint(condition=Q(duty__in=Duty.values), name="helper_duty"),
            CheckConstraint(condition=Q(duty=Duty.ROOM) | Q(official__isnull=True), name="helper_of_room_official"),
            CheckConstraint(
                condition=Q(duty=Duty.COMMITTEE) | Q(committee_official__isnull=True),
                name="helper_of_committee_official",
            ),
            CheckConstraint(condition=~Q(name=""), name="helper_named"),
        ]

    def __str__(self) -> str:
        return self.name


class WrongAttempt(models.Model):
    """A code or a password that was none, from an address. It is kept for a minute, by the database's clock, where
    several processes serve and count together; see `contest.helpers.throttling`."""

    secret = models.CharField(max_length=10)
    address = models.CharField(max_length=45)
    at = models.DateTimeField(db_default=Now())

    class Meta:
        indexes = [models.Index(fields=["address", "secret"], name="wrong_attempt_from")]  # how many from there

    def __str__(self) -> str:
        return f"{self.secret} from {self.address}"

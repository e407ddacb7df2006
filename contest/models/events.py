"""Days of several contests: what they hold, how their sweepstakes are made, and the codes of their helpers."""

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint
from django.utils.translation import gettext_lazy as _

from contest.models.helpers import ONE_OFFICIALS, Duty
from contest.models.organisations import OwnedBy, WithinReach
from contest.models.outline import TEXT_LENGTH, Contest
from contest.models.people import Contestant


class Event(models.Model):
    """A day of several contests with a sweepstakes over all of them, made as `scoring.core.sweepstakes.Rule` says.

    Once it is released everybody reads it, as long as every contest's own results are.
    """

    class By(models.TextChoices):
        TOTAL = "total", _("the totals added up")
        RANKS = "ranks", _("points for ranks")

    in_addresses = "event"

    organisation = OwnedBy()
    name = models.CharField(max_length=TEXT_LENGTH)
    held_on = models.DateField(null=True, blank=True)
    by = models.CharField(max_length=5, choices=By, default=By.TOTAL)
    points = models.CharField(max_length=TEXT_LENGTH, default="10 9 8 7 6 5 4 3 2 1")  # of the first rank, and so on
    needs_all = models.BooleanField(default=False)
    released_at = models.DateTimeField(null=True, blank=True)

    objects = WithinReach()
    every = models.Manager()  # noqa: DJ012 -- a manager too

    class Meta:
        ordering = ["-pk"]
        constraints = [
            CheckConstraint(condition=~Q(name=""), name="event_named"),
            CheckConstraint(condition=Q(by__in=["total", "ranks"]), name="event_by"),
        ]

    def __str__(self) -> str:
        return self.name

    def contests(self) -> list[Contest]:
        """In the order in which the day was made up, without any in the bin."""
        return list(Contest.objects.filter(event_place__event=self).order_by("event_place__pk"))


def beside(contest: Contest) -> list[Contest]:
    """The other contests of a contest's event, without any in the bin; none where it is in no event."""
    same = Contest.objects.filter(event_place__event__places__contest=contest)
    return list(same.exclude(pk=contest.pk).order_by("event_place__pk"))


class EventContest(models.Model):
    """A contest of an event; one of them may be the one whose total parts equal sums."""

    event = models.ForeignKey(Event, models.CASCADE, related_name="places")
    contest = models.OneToOneField(Contest, models.CASCADE, related_name="event_place")
    parts_ties = models.BooleanField(default=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(fields=["event"], condition=Q(parts_ties=True), name="event_one_contest_parts_ties")
        ]

    def __str__(self) -> str:
        return f"{self.contest_id} in {self.event_id}"


class EventPerson(models.Model):
    """Who a contestant is in the other contests of an event, where it was said and does not follow from the name.

    Rows with the same `together` are one person; one that has it alone is nobody else of the event, whatever they are
    called.
    """

    place = models.ForeignKey(EventContest, models.CASCADE, related_name="people", db_index=False)
    contestant = models.OneToOneField(Contestant, models.CASCADE, related_name="event_person")
    together = models.UUIDField()

    class Meta:
        ordering = ["pk"]
        constraints = [UniqueConstraint(fields=["place", "together"], name="event_person_once_a_contest")]

    def __str__(self) -> str:
        return f"{self.contestant_id} is {self.together}"


class EventCode(models.Model):
    """The code that lets helpers of one duty into every contest of an event. An official has a code of one contest."""

    event = models.ForeignKey(Event, models.CASCADE, related_name="codes")
    duty = models.CharField(max_length=9, choices=Duty)
    code = models.CharField(max_length=12, unique=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(fields=["event", "duty"], name="event_code_of_duty_unique"),
            CheckConstraint(
                condition=Q(duty__in=[duty for duty in Duty if duty not in ONE_OFFICIALS]), name="event_code_duty"
            ),
        ]

    def __str__(self) -> str:
        return self.code

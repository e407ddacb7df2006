"""Readings: what somebody read off one card or slip. They are only ever added; withdrawing one leaves it in place."""

from django.db import models
from django.db.models import CheckConstraint, Index, Q, UniqueConstraint
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop

from contest.models.helpers import NAME_LENGTH, Helper
from contest.models.names import Names
from contest.models.outline import TEXT_LENGTH, Contest, JudgingClass, Part
from contest.models.people import Contestant, ReasonsOfficial, Team
from scoring.core.record import HUNDREDTHS, MOST_REASONS


class Source(models.TextChoices):
    """What a reading was made from."""

    PAPER = "paper", _("read off paper by a person")
    OFFICIAL = "official", _("entered by the official: nothing was copied, and nothing misread")
    SCANNER = "scanner", _("read off paper by a scanner")


SCANNER = gettext_noop("scanner")
"""Who a scanner's readings are by, in every language; no helper may be called so."""


class ReadingFields(models.Model):
    """What every kind of reading holds.

    `by` is the reader's name. A reading that `decides` is the superintendent's and settles a doubt, for a `reason`.
    `submission` is made by the browser: the same one twice is one reading.
    """

    holds_names = Names(people=("by", "withdrawn_by"), words=("reason", "withdrawn_reason"))

    submission = models.UUIDField(unique=True)
    helper = models.ForeignKey(Helper, models.PROTECT, null=True, blank=True, related_name="+")
    by = models.CharField(max_length=NAME_LENGTH)
    at = models.DateTimeField(auto_now_add=True)
    source = models.CharField(max_length=8, choices=Source, default=Source.PAPER.value)
    decides = models.BooleanField(default=False)
    reason = models.CharField(max_length=TEXT_LENGTH, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.CharField(max_length=NAME_LENGTH, blank=True)
    withdrawn_reason = models.CharField(max_length=TEXT_LENGTH, blank=True)

    class Meta:
        abstract = True
        ordering = ["pk"]
        constraints = [
            CheckConstraint(condition=~Q(by=""), name="%(class)s_by"),
            CheckConstraint(condition=Q(source__in=Source.values), name="%(class)s_source"),
            CheckConstraint(condition=Q(decides=False) | ~Q(reason=""), name="%(class)s_decides_for_a_reason"),
            CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by="")
                | Q(withdrawn_at__isnull=False) & ~Q(withdrawn_by=""),
                name="%(class)s_withdrawn_by",
            ),
        ]


class Reading(ReadingFields):
    """One reading of one placing card.

    `number` is as it was typed; `contestant` is null where nobody has it. `on_card` keeps what the card itself says
    where a decision repairs it.
    """

    holds_names = Names(people=("by", "withdrawn_by"), words=("reason", "withdrawn_reason", "on_card"))

    helper = models.ForeignKey(Helper, models.PROTECT, null=True, blank=True, related_name="+", db_index=False)
    judging_class = models.ForeignKey(JudgingClass, models.PROTECT, related_name="readings", db_index=False)
    number = models.PositiveIntegerField()
    contestant = models.ForeignKey(Contestant, models.PROTECT, null=True, blank=True, related_name="readings")
    placing = models.CharField(max_length=10, blank=True)
    on_card = models.CharField(max_length=TEXT_LENGTH, blank=True)

    class Meta(ReadingFields.Meta):
        abstract = False
        indexes = [
            Index(fields=["judging_class", "contestant"], name="reading_of_card"),  # settling one card
            Index(fields=["helper", "-id"], name="reading_of_helper"),  # a reader's last ten
            Index(fields=["judging_class", "at"], name="reading_pace"),  # the present pace
        ]

    def __str__(self) -> str:
        return f"{self.number} in {self.judging_class_id}: {self.placing or 'no card'}"


class ReasonsReading(ReadingFields):
    """One reading of what an official gave a contestant for a set of reasons; `hundredths` null for no score."""

    judging_class = models.ForeignKey(JudgingClass, models.PROTECT, related_name="reasons_readings")
    official = models.ForeignKey(ReasonsOfficial, models.PROTECT, related_name="readings")
    contestant = models.ForeignKey(Contestant, models.PROTECT, related_name="reasons_readings")
    hundredths = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta(ReadingFields.Meta):
        abstract = False
        constraints = [
            *ReadingFields.Meta.constraints,
            CheckConstraint(condition=Q(hundredths__lte=MOST_REASONS * HUNDREDTHS), name="reasons_reading_at_most_50"),
        ]

    def __str__(self) -> str:
        return f"{self.official_id}: {self.hundredths} hundredths"


class MarkReading(ReadingFields):
    """One reading of the points of a part, of a contestant or of a team; `hundredths` null where no mark was given."""

    part = models.ForeignKey(Part, models.PROTECT, related_name="readings")
    contestant = models.ForeignKey(Contestant, models.PROTECT, null=True, blank=True, related_name="mark_readings")
    team = models.ForeignKey(Team, models.PROTECT, null=True, blank=True, related_name="mark_readings")
    hundredths = models.PositiveIntegerField(null=True, blank=True)

    class Meta(ReadingFields.Meta):
        abstract = False
        constraints = [
            *ReadingFields.Meta.constraints,
            CheckConstraint(
                condition=Q(contestant__isnull=True, team__isnull=False)
                | Q(contestant__isnull=False, team__isnull=True),
                name="mark_reading_of_contestant_or_team",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part_id}: {self.hundredths} hundredths"


class ChoiceReading(ReadingFields):
    """One reading of what a contestant chose in a part; `chosen` is empty where no card was handed in.

    Where nobody has the number that was typed, `number` keeps it and `contestant` is null.
    """

    part = models.ForeignKey(Part, models.PROTECT, related_name="choice_readings")
    number = models.PositiveIntegerField(null=True, blank=True)
    contestant = models.ForeignKey(Contestant, models.PROTECT, null=True, blank=True, related_name="choice_readings")
    chosen = models.CharField(max_length=TEXT_LENGTH, blank=True)

    class Meta(ReadingFields.Meta):
        abstract = False
        constraints = [
            *ReadingFields.Meta.constraints,
            CheckConstraint(
                condition=Q(contestant__isnull=True, number__isnull=False)
                | Q(contestant__isnull=False, number__isnull=True),
                name="choice_reading_of_somebody_or_a_number",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part_id}: {self.chosen or 'no card'}"


class StackClaim(models.Model):
    """A stack that a helper has taken to their desk: the cards of one class and one group."""

    helper = models.ForeignKey(Helper, models.CASCADE, related_name="claims")
    judging_class = models.ForeignKey(JudgingClass, models.PROTECT, related_name="claims")
    group = models.CharField(max_length=TEXT_LENGTH, blank=True)
    taken_at = models.DateTimeField(auto_now_add=True)
    given_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["taken_at"]
        constraints = [
            UniqueConstraint(fields=["helper"], condition=Q(given_back_at__isnull=True), name="one_stack_a_helper")
        ]

    def __str__(self) -> str:
        return f"class {self.judging_class_id}, group {self.group}"


class WavedMixup(models.Model):
    """Somebody looked at what seems mixed up, and said why it is right; `what` is the finding's key."""

    holds_names = Names(people=("by",), words=("reason",))

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="waved_mixups", db_index=False)
    what = models.CharField(max_length=16)
    by = models.CharField(max_length=NAME_LENGTH)
    at = models.DateTimeField(auto_now_add=True)
    reason = models.CharField(max_length=TEXT_LENGTH)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(fields=["contest", "what"], name="waved_mixup_unique"),
            CheckConstraint(condition=~Q(reason=""), name="waved_mixup_has_a_reason"),
        ]

    def __str__(self) -> str:
        return self.what


class Submission(models.Model):
    """A change that a browser sent, known by the id that the browser made, so that sent twice it is made once.

    `digest` tells the same change from another one under the same id; `outcome` is what the first was answered.
    """

    id = models.UUIDField(primary_key=True)
    digest = models.CharField(max_length=64)
    outcome = models.JSONField(null=True, blank=True)
    at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return str(self.id)

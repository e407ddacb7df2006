"""What is handed in on the day: keys by the officials, cards by the contestants, marks for the other parts."""

from django.db import models
from django.db.models import CheckConstraint, Index, Q, UniqueConstraint
from django.utils.translation import gettext_lazy as _

from contest.models.animals import Cuts
from contest.models.committee import CommitteeOfficial
from contest.models.names import Names
from contest.models.outline import TEXT_LENGTH, JudgingClass, Part
from contest.models.people import Contestant, ReasonsOfficial, Team
from scoring.core.placing import MOST_ANIMALS
from scoring.core.record import HUNDREDTHS, MOST_REASONS


class State(models.TextChoices):
    """How far the readings of a card, a set of reasons or a mark have come."""

    ONCE = "once", _("read once")
    SETTLED = "settled", _("settled")
    DOUBT = "doubt", _("doubtful")


class Key(models.Model):
    """A class's official placing with its cuts: a new version each time it changes, none is ever overwritten."""

    holds_names = Names(people=("by", "confirmed_by"), words=("reason",))

    judging_class = models.ForeignKey(JudgingClass, models.CASCADE, related_name="keys")
    version = models.PositiveSmallIntegerField()
    official = models.CharField(max_length=MOST_ANIMALS)
    cuts = Cuts()
    by = models.CharField(max_length=TEXT_LENGTH)
    at = models.DateTimeField(auto_now_add=True)
    reason = models.CharField(max_length=TEXT_LENGTH, blank=True)
    # Provisional until somebody else has typed the same.
    confirmed_by = models.CharField(max_length=TEXT_LENGTH, blank=True)
    confirmed_at = models.DateTimeField(null=True, blank=True)
    agreed_by = models.ManyToManyField(CommitteeOfficial, related_name="agreed_keys")  # of a committee, if it is one's

    class Meta:
        ordering = ["version"]
        constraints = [
            UniqueConstraint(fields=["judging_class", "version"], name="key_version_unique"),
            CheckConstraint(condition=Q(version__gte=1), name="key_version_positive"),
            CheckConstraint(
                condition=Q(confirmed_at__isnull=True, confirmed_by="")
                | Q(confirmed_at__isnull=False) & ~Q(confirmed_by=""),
                name="key_confirmed_by",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.official} {'-'.join(map(str, self.cuts))}"


class KeyDispute(models.Model):
    """A second entry of a key that is not what the first one says: open until somebody tells which is right."""

    holds_names = Names(people=("by", "settled_by"))

    key = models.ForeignKey(Key, models.CASCADE, related_name="disputes")
    official = models.CharField(max_length=MOST_ANIMALS)
    cuts = Cuts()
    by = models.CharField(max_length=TEXT_LENGTH)
    at = models.DateTimeField(auto_now_add=True)
    settled_by = models.CharField(max_length=TEXT_LENGTH, blank=True)
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(fields=["key"], condition=Q(settled_at__isnull=True), name="key_dispute_one_open"),
            CheckConstraint(
                condition=Q(settled_at__isnull=True, settled_by="") | Q(settled_at__isnull=False) & ~Q(settled_by=""),
                name="key_dispute_settled_by",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.official} {'-'.join(map(str, self.cuts))}"


class PartKey(models.Model):
    """What the officials handed in for a part, as its `given` text: for keep/cull what keeping each animal is worth,
    such as `14 2 11 1`, for questions a sign each, as `scoring.core.questions` has them. A new version each time it
    changes, none is ever overwritten.

    It counts once it is confirmed. `other` is what `other_by` typed instead, until somebody says which is right.
    """

    holds_names = Names(people=("by", "confirmed_by", "other_by"), words=("reason",))

    part = models.ForeignKey(Part, models.CASCADE, related_name="keys")
    version = models.PositiveSmallIntegerField()
    given = models.CharField(max_length=TEXT_LENGTH)
    by = models.CharField(max_length=TEXT_LENGTH)
    at = models.DateTimeField(auto_now_add=True)
    reason = models.CharField(max_length=TEXT_LENGTH, blank=True)
    confirmed_by = models.CharField(max_length=TEXT_LENGTH, blank=True)
    confirmed_at = models.DateTimeField(null=True, blank=True)
    other = models.CharField(max_length=TEXT_LENGTH, blank=True)
    other_by = models.CharField(max_length=TEXT_LENGTH, blank=True)

    class Meta:
        ordering = ["version"]
        constraints = [
            UniqueConstraint(fields=["part", "version"], name="part_key_version_unique"),
            CheckConstraint(condition=Q(version__gte=1) & ~Q(given=""), name="part_key_given"),
            CheckConstraint(
                condition=Q(confirmed_at__isnull=True, confirmed_by="")
                | Q(confirmed_at__isnull=False) & ~Q(confirmed_by=""),
                name="part_key_confirmed_by",
            ),
            CheckConstraint(
                condition=Q(other="", other_by="") | Q(confirmed_by="") & ~Q(other="") & ~Q(other_by=""),
                name="part_key_other_by",
            ),
        ]

    def __str__(self) -> str:
        return self.given


class Card(models.Model):
    """What a contestant handed in for a class, as far as it is known: a placing, nothing, or an unreadable card.

    It is what the readings of the card come to; `contest.slips` keeps it in step with them. `second` is the second
    reading, null without one; in doubt it is the one that differs, and `placing` counts until somebody decides.
    What a second reading that found no card says is in the readings alone: `second` is never empty.
    """

    judging_class = models.ForeignKey(JudgingClass, models.PROTECT, related_name="cards", db_index=False)
    contestant = models.ForeignKey(Contestant, models.PROTECT, related_name="cards")
    placing = models.CharField(max_length=10, blank=True)
    second = models.CharField(max_length=10, null=True, blank=True)  # noqa: DJ001 -- null: not read twice
    state = models.CharField(max_length=7, choices=State)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(fields=["judging_class", "contestant"], name="card_unique"),
            CheckConstraint(condition=Q(second__isnull=True) | ~Q(second=""), name="card_second_not_empty"),
            CheckConstraint(condition=Q(state__in=State.values), name="card_state"),
        ]
        indexes = [
            Index(fields=["judging_class", "contestant"], condition=Q(state="doubt"), name="card_in_doubt")
        ]  # finding doubts

    def __str__(self) -> str:
        return f"{self.contestant_id} in {self.judging_class_id}: {self.placing or 'no card'}"


class ReasonsScore(models.Model):
    """What one official gave one contestant for a set of reasons, in hundredths of a point.

    `hundredths` is null where the official's slip says that there is no score, because the set was not given or not
    heard: the official does not count in the mean, and the score is not missing.
    """

    judging_class = models.ForeignKey(JudgingClass, models.PROTECT, related_name="reasons_scores")
    contestant = models.ForeignKey(Contestant, models.PROTECT, related_name="reasons_scores")
    official = models.ForeignKey(ReasonsOfficial, models.PROTECT, related_name="scores")
    hundredths = models.PositiveSmallIntegerField(null=True, blank=True)
    second = models.PositiveSmallIntegerField(null=True, blank=True)
    state = models.CharField(max_length=7, choices=State)

    class Meta:
        ordering = ["pk"]
        constraints = [
            CheckConstraint(condition=Q(state__in=State.values), name="reasons_score_state"),
            UniqueConstraint(fields=["judging_class", "contestant", "official"], name="reasons_score_unique"),
            CheckConstraint(condition=Q(hundredths__lte=MOST_REASONS * HUNDREDTHS), name="reasons_score_at_most_50"),
        ]
        # finding doubts
        indexes = [Index(fields=["judging_class"], condition=Q(state="doubt"), name="reasons_in_doubt")]

    def __str__(self) -> str:
        return f"{self.official_id}: {self.hundredths} hundredths"


class Mark(models.Model):
    """Points for a part, in hundredths: whole numbers hold the book's two decimals exactly on every database.

    `hundredths` is null where the slip says that no mark was given: it is worth as much as no mark, and not missing.
    """

    part = models.ForeignKey(Part, models.PROTECT, related_name="marks")
    contestant = models.ForeignKey(Contestant, models.PROTECT, null=True, blank=True, related_name="marks")
    team = models.ForeignKey(Team, models.PROTECT, null=True, blank=True, related_name="marks")
    hundredths = models.PositiveIntegerField(null=True, blank=True)
    second = models.PositiveIntegerField(null=True, blank=True)
    state = models.CharField(max_length=7, choices=State)

    class Meta:
        ordering = ["pk"]
        constraints = [
            CheckConstraint(condition=Q(state__in=State.values), name="mark_state"),
            UniqueConstraint(fields=["part", "contestant"], name="mark_of_contestant_unique"),
            UniqueConstraint(fields=["part", "team"], name="mark_of_team_unique"),
            CheckConstraint(
                condition=Q(contestant__isnull=True, team__isnull=False)
                | Q(contestant__isnull=False, team__isnull=True),
                name="mark_of_contestant_or_team",
            ),
        ]
        # finding doubts
        indexes = [Index(fields=["part"], condition=Q(state="doubt"), name="mark_in_doubt")]

    def __str__(self) -> str:
        return f"{self.part_id}: {self.hundredths} hundredths"


class Choice(models.Model):
    """What a contestant chose in a part that has a key, as far as it is known: the labels kept in their order, or a row
    of answers; nothing, or unreadable.

    `second` is as of a card.
    """

    part = models.ForeignKey(Part, models.PROTECT, related_name="choices")
    contestant = models.ForeignKey(Contestant, models.PROTECT, related_name="choices")
    chosen = models.CharField(max_length=TEXT_LENGTH, blank=True)
    second = models.CharField(max_length=TEXT_LENGTH, null=True, blank=True)  # noqa: DJ001 -- null: not read twice
    state = models.CharField(max_length=7, choices=State)

    class Meta:
        ordering = ["pk"]
        constraints = [
            CheckConstraint(condition=Q(state__in=State.values), name="choice_state"),
            UniqueConstraint(fields=["part", "contestant"], name="choice_unique"),
        ]
        # finding doubts
        indexes = [Index(fields=["part"], condition=Q(state="doubt"), name="choice_in_doubt")]

    def __str__(self) -> str:
        return f"{self.part_id}: {self.chosen or 'no card'}"

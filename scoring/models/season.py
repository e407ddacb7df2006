"""A club's season: its members, and what contests and practices left of each of them.

Nothing here belongs to a contest or a practice. Of a book only the classes are kept, and the rows of the club's own
members; so deleting a member deletes all that there is of them, and nobody else's name is ever here.
"""

from django.db import models
from django.db.models import CheckConstraint, F, Q, UniqueConstraint
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from contest.models.animals import Cuts
from contest.models.helpers import NAME_LENGTH
from contest.models.organisations import OwnedBy, WithinReach
from contest.models.outline import TEXT_LENGTH
from scoring.core.placing import MOST_ANIMALS

MOST_OF_TEAM = 20
MOST_DAYS = 40


class Season(models.Model):
    """The rule of its team is `size` members by their best `best` results of the last `last`."""

    in_addresses = "season"

    organisation = OwnedBy()
    name = models.CharField(max_length=TEXT_LENGTH)
    best = models.PositiveSmallIntegerField(default=4)
    last = models.PositiveSmallIntegerField(default=6)
    size = models.PositiveSmallIntegerField(default=4)
    made_at = models.DateTimeField(auto_now_add=True)

    objects = WithinReach()
    every = models.Manager()  # noqa: DJ012 -- a manager too

    class Meta:
        ordering = ["-pk"]
        constraints = [
            CheckConstraint(condition=~Q(name=""), name="season_named"),
            CheckConstraint(
                condition=Q(best__gte=1, best__lte=F("last"), last__lte=MOST_DAYS), name="season_best_of_last"
            ),
            CheckConstraint(condition=Q(size__range=(1, MOST_OF_TEAM)), name="season_team_size"),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("season", args=[self.pk])


class SeasonMember(models.Model):
    """A member of the club, by its own number. Whoever gave no consent has no name here: `consent_by` recorded that
    there is one, `consent_at` that moment."""

    season = models.ForeignKey(Season, models.CASCADE, related_name="members", db_index=False)
    number = models.PositiveIntegerField()
    name = models.CharField(max_length=NAME_LENGTH, blank=True)
    consent_at = models.DateTimeField(null=True, blank=True)
    consent_by = models.CharField(max_length=NAME_LENGTH, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            UniqueConstraint(fields=["season", "number"], name="season_member_number_unique"),
            CheckConstraint(condition=Q(number__gte=1), name="season_member_numbered"),
            CheckConstraint(condition=Q(name="") | Q(consent_at__isnull=False), name="season_name_needs_consent"),
            CheckConstraint(
                condition=Q(consent_at__isnull=True, consent_by="") | Q(consent_at__isnull=False) & ~Q(consent_by=""),
                name="season_consent_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return str(self.number)

    def get_absolute_url(self) -> str:
        return reverse("season-member", args=[self.season_id, self.pk])


class SeasonSource(models.Model):
    """A contest or practice of the season. `digest` is of all that was read, so that it is known when it comes again;
    one that `counts` is a result by which the team is picked."""

    class Kind(models.TextChoices):
        CONTEST = "contest", _("contest")
        PRACTICE = "practice", _("practice")

    season = models.ForeignKey(Season, models.CASCADE, related_name="sources", db_index=False)
    kind = models.CharField(max_length=8, choices=Kind)
    name = models.CharField(max_length=TEXT_LENGTH)
    held_on = models.DateField()
    digest = models.CharField(max_length=64)
    counts = models.BooleanField()
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["held_on", "pk"]
        constraints = [
            UniqueConstraint(fields=["season", "digest"], name="season_source_unique"),
            CheckConstraint(condition=~Q(name="") & ~Q(digest=""), name="season_source_named"),
            CheckConstraint(condition=Q(kind__in=["contest", "practice"]), name="season_source_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.held_on} {self.name}"


class SeasonClass(models.Model):
    """A class of a source. `placed` counts all who placed it, and `placed_sum` adds up their scores; `heard` those who
    gave reasons, and `heard_sum` hundredths of their points. All four are 0 where they were so few that they would tell
    what one of them did. Without an `official` placing it had reasons alone."""

    source = models.ForeignKey(SeasonSource, models.CASCADE, related_name="classes", db_index=False)
    number = models.PositiveIntegerField()
    name = models.CharField(max_length=TEXT_LENGTH)
    category = models.CharField(max_length=TEXT_LENGTH, blank=True)
    animals = models.CharField(max_length=MOST_ANIMALS)
    perfect = models.PositiveSmallIntegerField()
    official = models.CharField(max_length=MOST_ANIMALS, blank=True)
    cuts = Cuts(blank=True, default=())
    placed = models.PositiveIntegerField(default=0)
    placed_sum = models.IntegerField(default=0)
    heard = models.PositiveIntegerField(default=0)
    heard_sum = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["number"]
        constraints = [
            UniqueConstraint(fields=["source", "number"], name="season_class_number_unique"),
            CheckConstraint(condition=Q(perfect__gte=1) & ~Q(animals=""), name="season_class_placed"),
            CheckConstraint(condition=Q(official="", cuts="") | ~Q(official="") & ~Q(cuts=""), name="season_class_key"),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"


class SeasonEntry(models.Model):
    """That a member was in a source, there by the number `number`, as the coach confirmed."""

    source = models.ForeignKey(SeasonSource, models.CASCADE, related_name="entries", db_index=False)
    member = models.ForeignKey(SeasonMember, models.CASCADE, related_name="entries")
    number = models.PositiveIntegerField()

    class Meta:
        ordering = ["source__held_on", "source"]
        constraints = [
            UniqueConstraint(fields=["source", "member"], name="season_entry_member_once"),
            UniqueConstraint(fields=["source", "number"], name="season_entry_number_once"),
        ]

    def __str__(self) -> str:
        return str(self.number)


class SeasonPlacing(models.Model):
    """How a member placed a class, and what that scored; `placing` is empty where no card could be read."""

    entry = models.ForeignKey(SeasonEntry, models.CASCADE, related_name="placings", db_index=False)
    judged = models.ForeignKey(SeasonClass, models.CASCADE, related_name="placings")
    placing = models.CharField(max_length=MOST_ANIMALS, blank=True)
    points = models.IntegerField()

    class Meta:
        ordering = ["judged__number"]
        constraints = [UniqueConstraint(fields=["entry", "judged"], name="season_placing_once")]

    def __str__(self) -> str:
        return self.placing


class SeasonReasons(models.Model):
    """A member's points for reasons on a class, in hundredths, and whether any were `given`; those that were due and
    were not count 0."""

    entry = models.ForeignKey(SeasonEntry, models.CASCADE, related_name="reasons", db_index=False)
    judged = models.ForeignKey(SeasonClass, models.CASCADE, related_name="reasons")
    points = models.PositiveIntegerField()
    given = models.BooleanField()

    class Meta:
        ordering = ["judged__number"]
        constraints = [
            UniqueConstraint(fields=["entry", "judged"], name="season_reasons_once"),
            CheckConstraint(condition=Q(given=True) | Q(points=0), name="season_reasons_given"),
        ]

    def __str__(self) -> str:
        return str(self.points)

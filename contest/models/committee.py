"""Committees: several officials who place a class alone, before they agree on its key."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from contest.models.animals import Cuts
from contest.models.names import Names
from contest.models.outline import TEXT_LENGTH, Contest, JudgingClass
from scoring.core.placing import MOST_ANIMALS


class CommitteeOfficial(models.Model):
    """An official of committees. One who `is_chair` sees what the others of a class handed in, once they have too."""

    holds_names = Names(people=("name",))

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="committee_officials")
    name = models.CharField(max_length=TEXT_LENGTH)
    is_chair = models.BooleanField(default=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(fields=["contest", "name"], name="committee_official_name_unique"),
            CheckConstraint(condition=~Q(name=""), name="committee_official_named"),
        ]

    def __str__(self) -> str:
        return self.name


class CommitteeSeat(models.Model):
    """That an official places a class."""

    judging_class = models.ForeignKey(JudgingClass, models.CASCADE, related_name="seats", db_index=False)
    official = models.ForeignKey(CommitteeOfficial, models.CASCADE, related_name="seats")

    class Meta:
        ordering = ["pk"]
        constraints = [UniqueConstraint(fields=["judging_class", "official"], name="committee_seat_unique")]

    def __str__(self) -> str:
        return f"{self.official_id} in {self.judging_class_id}"


class CommitteeKey(models.Model):
    """What an official of a committee handed in for a class: a new version each time, and none is ever overwritten.

    Never scored. `by` is whose device it came from, or who typed it from paper.
    """

    holds_names = Names(people=("by",), words=("reason",))

    seat = models.ForeignKey(CommitteeSeat, models.CASCADE, related_name="keys", db_index=False)
    version = models.PositiveSmallIntegerField()
    placing = models.CharField(max_length=MOST_ANIMALS)
    cuts = Cuts()
    by = models.CharField(max_length=TEXT_LENGTH)
    at = models.DateTimeField(auto_now_add=True)
    reason = models.CharField(max_length=TEXT_LENGTH, blank=True)

    class Meta:
        ordering = ["version"]
        constraints = [
            UniqueConstraint(fields=["seat", "version"], name="committee_key_version_unique"),
            CheckConstraint(condition=Q(version__gte=1), name="committee_key_version_positive"),
            CheckConstraint(condition=~Q(placing=""), name="committee_key_placed"),
        ]

    def __str__(self) -> str:
        return f"{self.placing} {'-'.join(map(str, self.cuts))}"

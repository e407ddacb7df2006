"""Oral reasons: the officials who hear them, and what each gave."""

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from contest.models import Contest, Contestant, JudgingClass, ReadingFields, State
from contest.models.outline import TEXT_LENGTH
from scoring.record import HUNDREDTHS, MOST_REASONS


class ReasonsOfficial(models.Model):
    """An official who hears reasons, known by a name or a letter."""

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="reasons_officials")
    name = models.CharField(max_length=TEXT_LENGTH)

    class Meta:
        ordering = ["name"]
        constraints = [
            UniqueConstraint(fields=["contest", "name"], name="reasons_official_name_unique"),
            CheckConstraint(condition=~Q(name=""), name="reasons_official_named"),
        ]

    def __str__(self):
        return self.name


class ReasonsScore(models.Model):
    """What one official gave one contestant for a set of reasons, in hundredths of a point."""

    judging_class = models.ForeignKey(JudgingClass, models.PROTECT, related_name="reasons_scores")
    contestant = models.ForeignKey(Contestant, models.PROTECT, related_name="reasons_scores")
    official = models.ForeignKey(ReasonsOfficial, models.PROTECT, related_name="scores")
    hundredths = models.PositiveSmallIntegerField()
    second = models.PositiveSmallIntegerField(null=True, blank=True)
    state = models.CharField(max_length=7, choices=State)

    class Meta:
        ordering = ["pk"]
        constraints = [
            CheckConstraint(condition=Q(state__in=State.values), name="reasons_score_state"),
            UniqueConstraint(fields=["judging_class", "contestant", "official"], name="reasons_score_unique"),
            CheckConstraint(condition=Q(hundredths__lte=MOST_REASONS * HUNDREDTHS), name="reasons_score_at_most_50"),
        ]

    def __str__(self):
        return f"{self.official_id}: {self.hundredths / 100:g}"


class ReasonsReading(ReadingFields):
    """One reading of what an official gave a contestant for a set of reasons."""

    judging_class = models.ForeignKey(JudgingClass, models.PROTECT, related_name="reasons_readings")
    official = models.ForeignKey(ReasonsOfficial, models.PROTECT, related_name="readings")
    contestant = models.ForeignKey(Contestant, models.PROTECT, related_name="reasons_readings")
    hundredths = models.PositiveSmallIntegerField()

    class Meta(ReadingFields.Meta):
        abstract = False
        constraints = [
            *ReadingFields.Meta.constraints,
            CheckConstraint(condition=Q(hundredths__lte=MOST_REASONS * HUNDREDTHS), name="reasons_reading_at_most_50"),
        ]

    def __str__(self):
        return f"{self.official_id}: {self.hundredths / 100:g}"

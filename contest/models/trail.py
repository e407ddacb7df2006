"""The append-only account of every change."""

from django.db import models
from django.db.models import UniqueConstraint

from contest.models.outline import TEXT_LENGTH, Contest


class Touches(models.TextChoices):
    """What of a contest's record a change can have altered: what is kept in memory reloads no more than that."""

    EVERYTHING = "everything"
    CLASSES = "classes"
    CARDS = "cards"
    NOTHING = "nothing"


class TrailEntry(models.Model):
    """One change: who, when, what, before and after. `revision` is the contest's own after the change."""

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="trail")
    revision = models.PositiveBigIntegerField()
    at = models.DateTimeField(auto_now_add=True)
    by = models.CharField(max_length=TEXT_LENGTH)
    what = models.CharField(max_length=TEXT_LENGTH)
    touches = models.CharField(max_length=10, choices=Touches, default=Touches.EVERYTHING)
    before = models.JSONField(null=True, blank=True)
    after = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["revision"]
        verbose_name_plural = "trail entries"
        constraints = [UniqueConstraint(fields=["contest", "revision"], name="trail_revision_unique")]

    def __str__(self):
        return f"{self.revision} {self.what}"

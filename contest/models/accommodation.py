"""What a contestant needs to compete as the others do."""

from django.db import models
from django.db.models import CheckConstraint, Q
from django.utils.translation import gettext_lazy as _

from contest.models.names import Names
from contest.models.outline import TEXT_LENGTH
from contest.models.people import Contestant


class Accommodation(models.Model):
    """What a contestant needs: for the superintendent and whoever must act alone.

    It is in no book, no export and no trail, and what it was before is not kept.
    """

    class ExtraTime(models.IntegerChoices):
        NONE = 0, _("none")
        QUARTER = 25, _("a quarter more")
        HALF = 50, _("half as much again")
        DOUBLE = 100, _("twice the time")

    holds_names = Names(words=("note",))

    contestant = models.OneToOneField(Contestant, models.CASCADE, related_name="accommodation")
    extra_time = models.PositiveSmallIntegerField(choices=ExtraTime, default=ExtraTime.NONE)  # of 100
    reader = models.BooleanField(default=False)
    scribe = models.BooleanField(default=False)
    large_print = models.BooleanField(default=False)
    separate_room = models.BooleanField(default=False)
    wheelchair = models.BooleanField(default=False)
    note = models.CharField(max_length=TEXT_LENGTH, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [CheckConstraint(condition=Q(extra_time__in=[0, 25, 50, 100]), name="accommodation_extra_time")]

    def __str__(self) -> str:
        return f"of {self.contestant_id}"

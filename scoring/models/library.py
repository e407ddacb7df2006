"""Practices that the club keeps, to be practised again: as the file that another coach would be given, and nobody of
those who practised."""

from django.db import models
from django.db.models import CheckConstraint, F, Q, UniqueConstraint

from contest.models.animals import Cuts
from contest.models.organisations import OwnedBy, WithinReach
from contest.models.outline import TEXT_LENGTH
from scoring.core.placing import MOST_ANIMALS


class LibraryPractice(models.Model):
    """`digest` is of the classes and keys, so that a practice is kept once."""

    in_addresses = "kept"

    organisation = OwnedBy()
    species = models.CharField(max_length=TEXT_LENGTH)
    digest = models.CharField(max_length=64)
    file = models.BinaryField()
    at = models.DateTimeField(auto_now_add=True)

    objects = WithinReach()
    every = models.Manager()  # noqa: DJ012 -- a manager too

    class Meta:
        ordering = ["species", "pk"]
        constraints = [
            CheckConstraint(condition=~Q(species="") & ~Q(digest=""), name="library_practice_named"),
            UniqueConstraint(fields=["organisation", "digest"], name="library_practice_kept_once"),
        ]

    def __str__(self) -> str:
        return self.species


class LibraryClass(models.Model):
    """A class of a kept practice. `placed` members scored `points` together when it was kept."""

    kept = models.ForeignKey(LibraryPractice, models.CASCADE, related_name="classes", db_index=False)
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=TEXT_LENGTH)
    animals = models.CharField(max_length=MOST_ANIMALS)
    perfect = models.PositiveSmallIntegerField()
    official = models.CharField(max_length=MOST_ANIMALS)
    cuts = Cuts()
    placed = models.PositiveIntegerField(default=0)
    points = models.IntegerField(default=0)

    class Meta:
        ordering = ["number"]
        constraints = [
            UniqueConstraint(fields=["kept", "number"], name="library_class_number_unique"),
            CheckConstraint(condition=~Q(official="") & ~Q(cuts=""), name="library_class_key"),
            CheckConstraint(condition=Q(points__lte=F("placed") * F("perfect")), name="library_class_points"),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"

"""Reasons in a practice: sets that members give, what somebody made of them, and the coach's own words for them."""

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from contest.models.organisations import OwnedBy, WithinReach
from contest.models.outline import TEXT_LENGTH
from contest.models.practice import PracticeClass, PracticeMember
from scoring.core.practice import ASPECTS, MOST_MARK


class PracticeSet(models.Model):
    """What a member says about a class. `outline` is what they handed in of it, by its parts, and empty where they
    keep it to themselves. `called_at` is when the coach let them begin; they have the floor while it `speaks`."""

    judging_class = models.ForeignKey(PracticeClass, models.CASCADE, related_name="sets", db_index=False)
    member = models.ForeignKey(PracticeMember, models.CASCADE, related_name="sets")
    outline = models.JSONField(default=dict, blank=True)
    called_at = models.DateTimeField(null=True, blank=True)
    speaks = models.BooleanField(default=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(fields=["judging_class", "member"], name="practice_set_unique"),
            UniqueConstraint(fields=["judging_class"], condition=Q(speaks=True), name="practice_set_one_speaks"),
            CheckConstraint(condition=Q(speaks=False) | Q(called_at__isnull=False), name="practice_set_called"),
        ]

    def __str__(self) -> str:
        return f"set {self.pk}"


class PracticeSetScore(models.Model):
    """What somebody made of a set, 0 to 10 for each aspect. `by` is another member; None is the coach."""

    set = models.ForeignKey(PracticeSet, models.CASCADE, related_name="scores", db_index=False)
    by = models.ForeignKey(PracticeMember, models.CASCADE, related_name="gave", null=True, blank=True)
    accuracy = models.PositiveSmallIntegerField(validators=[MaxValueValidator(MOST_MARK)])
    delivery = models.PositiveSmallIntegerField(validators=[MaxValueValidator(MOST_MARK)])
    terms = models.PositiveSmallIntegerField(validators=[MaxValueValidator(MOST_MARK)])
    organisation = models.PositiveSmallIntegerField(validators=[MaxValueValidator(MOST_MARK)])
    comment = models.TextField(blank=True)
    at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["by_id", "pk"]
        constraints = [
            UniqueConstraint(fields=["set", "by"], name="practice_set_score_unique"),
            UniqueConstraint(fields=["set"], condition=Q(by=None), name="practice_set_score_one_coach"),
            *(
                CheckConstraint(condition=Q(**{f"{aspect}__lte": MOST_MARK}), name=f"practice_set_{aspect}")
                for aspect in ASPECTS
            ),
        ]

    def __str__(self) -> str:
        return f"score of set {self.set_id}"

    @property
    def marks(self) -> tuple[int, ...]:
        return tuple(getattr(self, aspect) for aspect in ASPECTS)


class TermList(models.Model):
    """Words of the trade for a species, one a line, as a coach wrote them. That of no species is for all of them."""

    organisation = OwnedBy()
    species = models.CharField(max_length=TEXT_LENGTH, blank=True)
    words = models.TextField()

    objects = WithinReach()
    every = models.Manager()  # noqa: DJ012 -- a manager too

    class Meta:
        ordering = ["species"]
        constraints = [
            UniqueConstraint("organisation", models.functions.Lower("species"), name="term_list_species_unique"),
            CheckConstraint(condition=~Q(words=""), name="term_list_says_something"),
        ]

    def __str__(self) -> str:
        return self.species

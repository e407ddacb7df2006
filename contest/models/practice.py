"""A practice: a contest with no release, for learning. It stands beside the contests and is none of their rows, so
that it can be deleted at once and whole, and no list, result, doubt or print of a contest can ever show it."""

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from contest.models.animals import Cuts
from contest.models.helpers import NAME_LENGTH
from contest.models.organisations import OwnedBy, WithinReach
from contest.models.outline import TEXT_LENGTH
from contest.models.pair_notes import NotedPair
from scoring.core.placing import ANIMALS, MOST_ANIMALS, PERFECT
from scoring.core.practice import ASPECTS, MOST_MINUTES, MOST_REASONS_MINUTES, VIEWS, WEIGHTS


class Practice(models.Model):
    """`code` lets members in. `on` is the number of the class that is practised on now. `revision` grows with every
    change, and what is shown live is known by it.

    Of a set of reasons, `reasons_minutes` is how long it takes, the weights how much each aspect counts, and
    `peers_score` whether members score each other's.

    Unless the coach `keeps` it, all of it goes by itself a day after `changed_at`: nobody's name is kept.
    """

    in_addresses = "practice"

    organisation = OwnedBy()
    code = models.CharField(max_length=12, unique=True)
    on = models.PositiveSmallIntegerField(default=1)
    keeps = models.BooleanField(default=False)
    made_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now_add=True)
    revision = models.PositiveBigIntegerField(default=0)
    reasons_minutes = models.PositiveSmallIntegerField(default=2)
    weight_accuracy = models.PositiveSmallIntegerField(default=WEIGHTS[0])
    weight_delivery = models.PositiveSmallIntegerField(default=WEIGHTS[1])
    weight_terms = models.PositiveSmallIntegerField(default=WEIGHTS[2])
    weight_organisation = models.PositiveSmallIntegerField(default=WEIGHTS[3])
    peers_score = models.BooleanField(default=False)

    objects = WithinReach()
    every = models.Manager()  # noqa: DJ012 -- a manager too

    class Meta:
        ordering = ["-pk"]
        constraints = [
            CheckConstraint(
                condition=Q(reasons_minutes__range=(1, MOST_REASONS_MINUTES)), name="practice_reasons_minutes"
            ),
            CheckConstraint(
                condition=~Q(**{f"weight_{aspect}": 0 for aspect in ASPECTS}), name="practice_some_aspect_counts"
            ),
        ]

    def __str__(self) -> str:
        return self.code

    def get_absolute_url(self) -> str:
        return reverse("practice", args=[self.pk])

    @property
    def weights(self) -> tuple[int, ...]:
        return tuple(getattr(self, f"weight_{aspect}") for aspect in ASPECTS)


class PracticeClass(models.Model):
    """A class that is practised on. What is shown of it is its `step`; the official placing and its cuts are the
    coach's alone until that step comes, and may be empty until then."""

    class Step(models.IntegerChoices):
        """Each shows what those before it do, and more."""

        JOINING = 0
        PLACING = 1
        CLOSED = 2
        GROUP = 3
        OFFICIAL = 4
        CUTS = 5
        SCORES = 6
        SWITCHES = 7
        REASONS = 8

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="classes", db_index=False)
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=TEXT_LENGTH)
    animals = models.CharField(max_length=MOST_ANIMALS, default=ANIMALS)
    minutes = models.PositiveSmallIntegerField()
    perfect = models.PositiveSmallIntegerField(default=PERFECT)
    official = models.CharField(max_length=MOST_ANIMALS, blank=True)
    cuts = Cuts(blank=True, default=())
    step = models.PositiveSmallIntegerField(choices=Step, default=Step.JOINING.value)
    began_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            UniqueConstraint(fields=["practice", "number"], name="practice_class_number_unique"),
            CheckConstraint(condition=Q(number__gte=1) & ~Q(name="") & ~Q(animals=""), name="practice_class_named"),
            CheckConstraint(condition=Q(minutes__range=(1, MOST_MINUTES)), name="practice_class_minutes"),
            CheckConstraint(condition=Q(perfect__gte=1), name="practice_class_perfect_positive"),
            CheckConstraint(condition=Q(official="", cuts="") | ~Q(official="") & ~Q(cuts=""), name="practice_key"),
            CheckConstraint(condition=Q(step__lt=4) | ~Q(official=""), name="practice_shows_what_there_is"),
            CheckConstraint(condition=Q(step__lte=8), name="practice_class_step"),
            CheckConstraint(condition=Q(step=0) | Q(began_at__isnull=False), name="practice_class_began"),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"


class PracticeNote(NotedPair):
    """What decided a pair of the official placing; whoever practises sees it at the last step."""

    judging_class = models.ForeignKey(PracticeClass, models.CASCADE, related_name="pair_notes", db_index=False)

    class Meta:
        ordering = ["pair"]
        constraints = [
            UniqueConstraint(fields=["judging_class", "pair"], name="practice_note_unique"),
            CheckConstraint(condition=Q(pair__gte=1, pair__lt=MOST_ANIMALS), name="practice_note_pair"),
            CheckConstraint(condition=~Q(decided_by="", grants="", faults=""), name="practice_note_says_something"),
        ]

    def __str__(self) -> str:
        return f"pair {self.pair} of {self.judging_class_id}"


class PracticeMember(models.Model):
    """Somebody who practises, under a first name or a number. `device` stands for the browser that they joined with, so
    that it comes back under the same name."""

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="members")
    name = models.CharField(max_length=NAME_LENGTH)
    device = models.CharField(max_length=64, blank=True)
    joined_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint("practice", models.functions.Lower("name"), name="practice_member_name_unique"),
            CheckConstraint(condition=~Q(name=""), name="practice_member_named"),
        ]

    def __str__(self) -> str:
        return self.name


class PracticePlacing(models.Model):
    """How a member placed a class, and the notes on it, by animal and row, where they were handed in too.

    One that is `late` came after the group's placings had been shown: it scores, and is none of the group's.
    """

    judging_class = models.ForeignKey(PracticeClass, models.CASCADE, related_name="placings", db_index=False)
    member = models.ForeignKey(PracticeMember, models.CASCADE, related_name="placings")
    placing = models.CharField(max_length=MOST_ANIMALS)
    notes = models.JSONField(default=dict, blank=True)
    late = models.BooleanField(default=False)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(fields=["judging_class", "member"], name="practice_placing_unique"),
            CheckConstraint(condition=~Q(placing=""), name="practice_placing_given"),
        ]

    def __str__(self) -> str:
        return self.placing


class PracticePicture(models.Model):
    """A photograph of an animal of a class, from one side. It was written anew as JPEG: nothing is left in it but what
    is seen.

    `says` is what it shows, in words, for whoever cannot see it. `place` is the coach's own order of those from one
    side; those that share one, as all do before the coach says anything, come by their animals' labels.
    """

    class View(models.TextChoices):
        SIDE = "side", _("from the side")
        REAR = "rear", _("from behind")
        FRONT = "front", _("from the front")

    judging_class = models.ForeignKey(PracticeClass, models.CASCADE, related_name="pictures", db_index=False)
    animal = models.CharField(max_length=1)
    view = models.CharField(max_length=5, choices=View)
    says = models.CharField(max_length=TEXT_LENGTH)
    place = models.PositiveSmallIntegerField(default=0)
    image = models.BinaryField()
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(fields=["judging_class", "animal", "view"], name="practice_picture_unique"),
            CheckConstraint(condition=Q(view__in=list(VIEWS)), name="practice_picture_view"),
            CheckConstraint(condition=~Q(says="") & ~Q(animal=""), name="practice_picture_told"),
        ]

    def __str__(self) -> str:
        return f"{self.animal} {self.view}"

"""What a contest consists of: divisions, categories, classes, parts and tie orders."""

from django.db import models
from django.db.models import CheckConstraint, F, Q, UniqueConstraint
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from contest.models.organisations import OwnedBy, WithinReach
from scoring.core.placing import ANIMALS, MOST_ANIMALS
from scoring.core.questions import FEWEST_QUESTIONS, MOST_OPTIONS, MOST_QUESTIONS
from scoring.core.record import MOST_REASONS, MOST_TO_KEEP_FROM
from scoring.core.steps import STEPS, Reference

CODE_LENGTH = 20
LISTED_LENGTH = 2 * CODE_LENGTH + 1
"""Of a division's code as lists have it: with a set's, where there are sets of results."""
TEXT_LENGTH = 200
WORTH_LENGTH = 600


class ContestsThereAre(WithinReach["Contest"]):
    """The contests that whoever asks may know of: not one that is still being loaded, or that lies in the bin."""

    def get_queryset(self) -> models.QuerySet["Contest"]:
        return super().get_queryset().filter(loading_at=None, deleted_at=None)


class Contest(models.Model):
    """A contest and the rules that hold for all of it.

    `revision` grows with every change to anything in it; `trail_head` is the hash of the change that made it so. A
    large contest is loaded in pieces (`contest.records.loading_in_pieces`), and is in no list, at no address and in no
    `objects` until the last of them is there: `every` has it too, and one that was deleted and lies in the bin.
    """

    class ShowPeopleAs(models.TextChoices):
        NUMBER = "number", _("contestant numbers")
        INITIALS = "initials", _("numbers and initials")
        NAME = "name", _("numbers and names")

    class NegativeScores(models.TextChoices):
        KEEP = "keep", _("kept as they are")
        ZERO = "zero", _("counted as 0")

    class UnreadableCard(models.TextChoices):
        ZERO = "zero", "0"
        LOWEST = "lowest", _("the lowest score its class can give")

    class LateEntries(models.TextChoices):
        ACCEPT = "accept", _("are accepted and marked as late")
        NOTE = "note", _("are accepted with a note of why")
        REFUSE = "refuse", _("are refused")

    in_addresses = "pk"

    organisation = OwnedBy()
    name = models.CharField(max_length=TEXT_LENGTH)
    held_on = models.DateField(null=True, blank=True)
    place = models.CharField(max_length=TEXT_LENGTH, blank=True)
    readings_per_card = models.PositiveSmallIntegerField(default=2)
    same_reader_twice = models.BooleanField(default=False)  # may one helper give both readings of a card?
    minutes_per_class = models.PositiveSmallIntegerField(default=12)
    starts_at = models.TimeField(null=True, blank=True)
    show_people_as = models.CharField(max_length=8, choices=ShowPeopleAs, default=ShowPeopleAs.NUMBER)
    negative_scores = models.CharField(max_length=4, choices=NegativeScores, default=NegativeScores.KEEP)
    unreadable_card = models.CharField(max_length=6, choices=UnreadableCard, default=UnreadableCard.ZERO)
    reasons_in_category = models.BooleanField(default=True)
    reasons_standardised = models.BooleanField(default=False)
    late_after = models.DateTimeField(null=True, blank=True)  # whoever is entered from then on is late
    late_entries = models.CharField(max_length=6, choices=LateEntries, default=LateEntries.ACCEPT)
    hall_address = models.CharField(max_length=TEXT_LENGTH, blank=True)  # which of this laptop's own is handed out
    public_address = models.CharField(max_length=TEXT_LENGTH, blank=True)  # where families read results at home
    revision = models.PositiveBigIntegerField(default=0)
    trail_head = models.CharField(max_length=64, blank=True)
    rows_kept_since = models.PositiveBigIntegerField(default=0)  # the first revision that can be looked back at
    loading_at = models.DateTimeField(null=True, blank=True)  # of the last piece so far; empty once it is whole
    deleted_at = models.DateTimeField(null=True, blank=True)  # and since then in the bin
    deleted_by = models.CharField(max_length=60, blank=True)
    emptied_at = models.DateTimeField(null=True, blank=True)  # since then on its way out of the bin, for good

    objects = ContestsThereAre()
    every = models.Manager()  # noqa: DJ012 -- a manager too

    class Meta:
        ordering = [F("held_on").desc(nulls_last=True), "-pk"]
        constraints = [
            CheckConstraint(condition=~Q(name=""), name="contest_named"),
            CheckConstraint(condition=Q(readings_per_card__in=[1, 2]), name="contest_readings_per_card"),
            CheckConstraint(
                condition=Q(show_people_as__in=["number", "initials", "name"]), name="contest_show_people_as"
            ),
            CheckConstraint(condition=Q(late_entries__in=["accept", "note", "refuse"]), name="contest_late_entries"),
            CheckConstraint(condition=Q(negative_scores__in=["keep", "zero"]), name="contest_negative_scores"),
            CheckConstraint(condition=Q(unreadable_card__in=["zero", "lowest"]), name="contest_unreadable_card"),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("contest", args=[self.pk])

    def minutes_of(self, judged: "JudgingClass") -> int:
        """How long a class takes: its own minutes, or those of every class."""
        return judged.minutes or self.minutes_per_class


class Division(models.Model):
    class ShortTeam(models.TextChoices):
        ZERO = "zero", _("missing members score 0")
        UNRANKED = "unranked", _("the team is not ranked")

    class CountingMembers(models.TextChoices):
        FIXED = "fixed", _("those who count overall count in every list")
        EACH = "each", _("chosen anew for every list")

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="divisions")
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=CODE_LENGTH)
    name = models.CharField(max_length=TEXT_LENGTH)
    team_counting = models.PositiveSmallIntegerField(help_text="0 means that every member counts")
    short_team = models.CharField(max_length=8, choices=ShortTeam, default=ShortTeam.ZERO)
    counting_members = models.CharField(max_length=5, choices=CountingMembers, default=CountingMembers.FIXED)
    reasons_least = models.PositiveSmallIntegerField(default=0)  # what a reasons score that was given counts at least
    alternates_compete = models.BooleanField(default=True)  # as individuals; else they stand in no list
    # What a team may be, to be warned by; no rule of the scoring, and not in the book. 0 means that any number will do.
    team_least = models.PositiveSmallIntegerField(default=0)
    team_most = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            UniqueConstraint(fields=["contest", "code"], name="division_code_unique"),
            CheckConstraint(condition=~Q(code="") & ~Q(name=""), name="division_named"),
            CheckConstraint(condition=Q(short_team__in=["zero", "unranked"]), name="division_short_team"),
            CheckConstraint(condition=Q(counting_members__in=["fixed", "each"]), name="division_counting_members"),
            CheckConstraint(condition=Q(reasons_least__lte=MOST_REASONS), name="division_reasons_least"),
        ]

    def __str__(self) -> str:
        return self.name


class Category(models.Model):
    contest = models.ForeignKey(Contest, models.CASCADE, related_name="categories")
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=CODE_LENGTH)
    name = models.CharField(max_length=TEXT_LENGTH)

    class Meta:
        ordering = ["position", "pk"]
        verbose_name_plural = "categories"
        constraints = [
            UniqueConstraint(fields=["contest", "code"], name="category_code_unique"),
            CheckConstraint(condition=~Q(code="") & ~Q(name=""), name="category_named"),
            CheckConstraint(
                condition=~Q(code__in=["overall", "placing", "reasons"]), name="category_code_is_no_list_name"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ResultSet(models.Model):
    """Some of a contest's contestants whose results are their own, such as those of one of two organisations that
    judge together. Everything is judged once; where there are sets, lists are theirs alone."""

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="sets", db_index=False)
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=CODE_LENGTH)
    name = models.CharField(max_length=TEXT_LENGTH)

    class Meta:
        ordering = ["position", "pk"]
        verbose_name = "set"
        constraints = [
            UniqueConstraint(fields=["contest", "code"], name="result_set_code_unique"),
            CheckConstraint(condition=~Q(code="") & ~Q(name=""), name="result_set_named"),
        ]

    def __str__(self) -> str:
        return self.name


class JudgingClass(models.Model):
    """A class of animals, known by their labels, usually four. One that `places` nothing is judged for reasons only.

    `animals` stays as it is once a key or a placing names them: `contest.models.animals`.
    """

    class Handling(models.TextChoices):
        UNSAID = "", _("the class sign says nothing of it")
        ALLOWED = "allowed", _("allowed: contestants may touch the animals")
        FORBIDDEN = "forbidden", _("not allowed: contestants look, and touch nothing")

    # Here and below, a key has no index of its own where that of a constraint begins with it: it would cost every
    # reading something, and PostgreSQL, while it knows little of what a table holds, takes the one that tells less.
    contest = models.ForeignKey(Contest, models.CASCADE, related_name="classes", db_index=False)
    position = models.PositiveSmallIntegerField()
    number = models.PositiveIntegerField()
    name = models.CharField(max_length=TEXT_LENGTH)
    category = models.ForeignKey(Category, models.PROTECT, null=True, blank=True, related_name="classes")
    divisions: "models.ManyToManyField[Division, ClassDivision]" = models.ManyToManyField(
        Division, through="ClassDivision", related_name="classes"
    )
    places = models.BooleanField(default=True)
    perfect = models.PositiveSmallIntegerField(default=50)
    animals = models.CharField(max_length=MOST_ANIMALS, default=ANIMALS)
    void = models.BooleanField(default=False)
    full_points = models.BooleanField(default=False)  # not fairly judged: all have the perfect placing score
    # What the day goes by; no rule of the scoring, and not in the book.
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)  # empty: the contest's `minutes_per_class`
    handling = models.CharField(max_length=9, choices=Handling, blank=True)

    class Meta:
        ordering = ["position", "pk"]
        verbose_name = "class"
        verbose_name_plural = "classes"
        constraints = [
            UniqueConstraint(fields=["contest", "number"], name="class_number_unique"),
            CheckConstraint(condition=Q(number__gte=1), name="class_number_positive"),
            CheckConstraint(condition=Q(perfect__gte=1), name="class_perfect_positive"),
            CheckConstraint(condition=Q(minutes=None) | Q(minutes__gte=1), name="class_minutes_positive"),
            CheckConstraint(condition=Q(handling__in=["", "allowed", "forbidden"]), name="class_handling"),
            CheckConstraint(condition=~Q(name=""), name="class_named"),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"


class ClassDivision(models.Model):
    """A division that judges a class, whether it also gives oral reasons on it, and whether it is void for it alone."""

    judging_class = models.ForeignKey(JudgingClass, models.CASCADE, related_name="class_divisions", db_index=False)
    division = models.ForeignKey(Division, models.PROTECT, related_name="class_divisions")
    gives_reasons = models.BooleanField(default=False)
    void = models.BooleanField(default=False)

    class Meta:
        ordering = ["pk"]
        constraints = [UniqueConstraint(fields=["judging_class", "division"], name="class_division_unique")]

    def __str__(self) -> str:
        return f"{self.division} in {self.judging_class}"


class Part(models.Model):
    """A scored part that is neither placings nor reasons, such as questions; `most` is in whole points.

    One with `animals` is keep/cull: `keep` of them are to be kept, what keeping each is worth is its key, and that says
    what the part can give. One with `questions` is scored by an answer key: each offers the same `options`, and `worth`
    is what the questions are worth, as files write points: one figure for all, or one each.
    """

    class Scope(models.TextChoices):
        INDIVIDUAL = "individual", _("each contestant")
        TEAM = "team", _("each team")

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=CODE_LENGTH)
    name = models.CharField(max_length=TEXT_LENGTH)
    category = models.ForeignKey(Category, models.PROTECT, null=True, blank=True, related_name="parts")
    divisions = models.ManyToManyField(Division, related_name="parts")
    most = models.PositiveSmallIntegerField()
    scope = models.CharField(max_length=10, choices=Scope)
    animals = models.CharField(max_length=MOST_TO_KEEP_FROM, blank=True)
    keep = models.PositiveSmallIntegerField(default=0)
    questions = models.PositiveSmallIntegerField(default=0)
    options = models.CharField(max_length=MOST_OPTIONS, blank=True)
    worth = models.CharField(max_length=WORTH_LENGTH, blank=True)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            UniqueConstraint(fields=["contest", "code"], name="part_code_unique"),
            CheckConstraint(condition=~Q(code="") & ~Q(name=""), name="part_named"),
            CheckConstraint(
                condition=Q(animals="", keep=0, most__gte=1)
                | Q(keep__gte=1, most=0, scope="individual") & ~Q(animals=""),
                name="part_most_or_keep",
            ),
            CheckConstraint(
                condition=Q(questions=0, options="", worth="")
                | Q(questions__range=(FEWEST_QUESTIONS, MOST_QUESTIONS), animals="", scope="individual")
                & ~Q(options="")
                & ~Q(worth=""),
                name="part_questions",
            ),
            CheckConstraint(condition=Q(scope__in=["individual", "team"]), name="part_scope"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def has_key(self) -> bool:
        """Whether the officials' key says what is worth what, and points are on no slip."""
        return bool(self.animals or self.questions)


HAS_KEY = ~Q(animals="") | Q(questions__gt=0)
"""Of parts, what `Part.has_key` says."""


STEP_FIELDS: dict[Reference, str] = {"class": "judging_class", "category": "category", "part": "part"}
"""The field of a tie step that holds what it looks at."""


def _as_the_table_says() -> Q:
    """A kind of step that there is, with what it looks at and nothing else, and for teams where only they have it."""
    condition = Q()
    for step in STEPS.values():
        looked_at = Q(**{f"{field}__isnull": step.looks_at != kind for kind, field in STEP_FIELDS.items()})
        condition |= Q(kind=step.code) & looked_at & (Q(scope="team") if step.teams_only else Q())
    return condition


class TieStep(models.Model):
    """One step of a tie order. A step that looks at a class, category or part holds on to it, so it cannot vanish."""

    class Scope(models.TextChoices):
        INDIVIDUAL = "individual"
        TEAM = "team"

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="tie_steps")
    scope = models.CharField(max_length=10, choices=Scope)
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=20)
    judging_class = models.ForeignKey(JudgingClass, models.PROTECT, null=True, blank=True)
    category = models.ForeignKey(Category, models.PROTECT, null=True, blank=True)
    part = models.ForeignKey(Part, models.PROTECT, null=True, blank=True)

    class Meta:
        ordering = ["scope", "position", "pk"]
        constraints = [
            CheckConstraint(condition=Q(scope__in=["individual", "team"]), name="tie_step_scope"),
            CheckConstraint(condition=_as_the_table_says(), name="tie_step_kind"),
        ]

    def __str__(self) -> str:
        return self.step

    @property
    def step(self) -> str:
        """The step as the contest book writes it, such as `class:3`."""
        number = self.judging_class.number if self.judging_class else None
        category = self.category.code if self.category else None
        return self.as_written(self.kind, number, category, self.part.code if self.part else None)

    @classmethod
    def as_written(cls, kind: str, number: int | None, category: str | None, part: str | None) -> str:
        """A step of a kind, which looks at a class's number or the code of a category or part."""
        return STEPS[kind].written(number or category or part)


class TieDecision(models.Model):
    """Rows of one list, equal in everything, that a draw or an official's word put in order (`DecidedTie`).

    `order` holds numbers or teams' names as the list has them: where those change, the decision says nothing any more.
    """

    class How(models.TextChoices):
        DRAW = "draw", _("by draw")
        WORD = "word", _("by an official’s word")

    class Kind(models.TextChoices):
        INDIVIDUALS = "individuals"
        TEAMS = "teams"

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="tie_decisions")
    division = models.CharField(max_length=LISTED_LENGTH)
    list = models.CharField(max_length=CODE_LENGTH)
    kind = models.CharField(max_length=11, choices=Kind)
    order = models.JSONField()
    how = models.CharField(max_length=4, choices=How)
    reason = models.CharField(max_length=TEXT_LENGTH)

    class Meta:
        ordering = ["pk"]
        constraints = [
            CheckConstraint(condition=Q(kind__in=["individuals", "teams"]), name="tie_decision_kind"),
            CheckConstraint(condition=Q(how__in=["draw", "word"]), name="tie_decision_how"),
            CheckConstraint(condition=~Q(reason=""), name="tie_decision_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.division} {self.list} {self.kind}"

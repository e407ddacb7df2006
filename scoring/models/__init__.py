"""What is made of the scores and told to people: releases, the ceremony, links to take home, print jobs."""

from typing import Any

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint
from django.utils.translation import gettext, gettext_lazy, gettext_noop

from contest.models import Contest, Contestant, JudgingClass, ResultSet, Team
from contest.models.helpers import NAME_LENGTH
from contest.models.names import Names
from contest.models.outline import CODE_LENGTH, LISTED_LENGTH, TEXT_LENGTH
from contest.trail.sentences import say
from scoring.models.library import LibraryClass, LibraryPractice
from scoring.models.season import (
    Season,
    SeasonClass,
    SeasonEntry,
    SeasonMember,
    SeasonPlacing,
    SeasonReasons,
    SeasonSource,
)

__all__ = [
    "ALL_THE_SAME",
    "AwardList",
    "BoardChoice",
    "Ceremony",
    "KeyRelease",
    "LastPrints",
    "LibraryClass",
    "LibraryPractice",
    "NextList",
    "NotComing",
    "PrintJob",
    "Protest",
    "ProtestWindow",
    "Release",
    "Ribbon",
    "Season",
    "SeasonClass",
    "SeasonEntry",
    "SeasonMember",
    "SeasonPlacing",
    "SeasonReasons",
    "SeasonSource",
    "TakeHomeLink",
    "accepted_line",
]

ALL_THE_SAME = "released_all_the_same"
"""The sentence of a line that blocked, with the reason why the results went out."""


def accepted_line(line: dict[str, Any]) -> tuple[dict[str, Any], str]:
    """A line of `Release.accepted` as the checklist had it, and the reason that was typed; "" where it was ticked."""
    if line["code"] != ALL_THE_SAME:
        return line, ""
    return line["values"]["line"], line["values"]["reason"]


class Release(models.Model):
    """The results as they were announced: a record of what was said, never a source of scores.

    The first one of a contest releases the results; each later one is a correction, for a `reason`. `accepted` holds,
    as codes and values of sentences, what remained open and was accepted all the same. `book` is the contest book,
    zipped, that the results follow from; it holds reasons scores as they were given, and `reasons_standardised` says
    whether they counted so. One that was withdrawn is kept and told to nobody; `standing` are the others. The first
    after that has AGAIN for its reason.
    """

    holds_names = Names(people=("by", "withdrawn_by"), words=("withdrawn_reason",))

    AGAIN = gettext_noop("released again after they were withdrawn")

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="releases")
    version = models.PositiveSmallIntegerField()
    revision = models.PositiveBigIntegerField()
    at = models.DateTimeField(auto_now_add=True)
    by = models.CharField(max_length=NAME_LENGTH)
    reason = models.CharField(max_length=TEXT_LENGTH, blank=True)
    accepted = models.JSONField(default=list)
    book = models.BinaryField()
    reasons_standardised = models.BooleanField(default=False)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.CharField(max_length=NAME_LENGTH, blank=True)
    withdrawn_reason = models.CharField(max_length=TEXT_LENGTH, blank=True)

    class Meta:
        ordering = ["version"]
        constraints = [
            UniqueConstraint(fields=["contest", "version"], name="release_version_unique"),
            CheckConstraint(condition=Q(version=1) | ~Q(reason=""), name="correction_has_a_reason"),
            CheckConstraint(
                condition=Q(withdrawn_at__isnull=True) | ~Q(withdrawn_by="") & ~Q(withdrawn_reason=""),
                name="release_withdrawn_for_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"release {self.version}"

    @classmethod
    def standing(cls, contest: Contest) -> models.QuerySet["Release"]:
        """What was announced of a contest and not withdrawn, oldest first."""
        return cls.objects.filter(contest=contest, withdrawn_at=None)

    @property
    def accepted_lines(self) -> list[str]:
        """What remained open and was accepted, in words."""
        return [say(**line) for line in self.accepted]

    @property
    def said_reason(self) -> str:
        return gettext(self.AGAIN) if self.reason == self.AGAIN else self.reason

    @property
    def is_correction(self) -> bool:
        return bool(self.reason) and self.reason != self.AGAIN


class KeyRelease(models.Model):
    """A class's key shown in public by itself, for the officials' critique."""

    holds_names = Names(people=("by",))

    judging_class = models.OneToOneField(JudgingClass, models.CASCADE, related_name="key_release")
    at = models.DateTimeField(auto_now_add=True)
    by = models.CharField(max_length=NAME_LENGTH)

    def __str__(self) -> str:
        return f"key of {self.judging_class_id}"


class Protest(models.Model):
    """A protest that was handed in, and what was decided."""

    holds_names = Names(people=("by",), words=("text", "outcome"))

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="protests")
    at = models.DateTimeField(auto_now_add=True)
    by = models.CharField(max_length=NAME_LENGTH)
    text = models.TextField()
    outcome = models.TextField(blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at"]

    def __str__(self) -> str:
        return self.text[:40]


class ProtestWindow(models.Model):
    """Until when protests are taken after a release; open until it is closed."""

    contest = models.OneToOneField(Contest, models.CASCADE, related_name="protest_window")
    note = models.TextField(blank=True)
    deadline = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"protests until {self.deadline}"


class AwardList(models.Model):
    """One list that the announcer reads, from its `places`-th row up to the first; `revealed` of them were shown.

    Each list remembers by itself how far it was read: whoever leaves it for another one and comes back must not find
    more of it on the board than there was.
    """

    class Kind(models.TextChoices):
        INDIVIDUALS = "individuals", gettext_lazy("individuals")
        TEAMS = "teams", gettext_lazy("teams")

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="award_lists")
    position = models.PositiveSmallIntegerField()
    division = models.CharField(max_length=LISTED_LENGTH)
    code = models.CharField(max_length=CODE_LENGTH)  # overall, placing, reasons or a category's
    kind = models.CharField(max_length=11, choices=Kind)
    places = models.PositiveSmallIntegerField(default=10)
    revealed = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            UniqueConstraint(fields=["contest", "division", "code", "kind"], name="award_list_unique"),
            CheckConstraint(condition=Q(places__gte=1), name="award_list_places"),
        ]

    def __str__(self) -> str:
        return f"{self.division} {self.code} {self.kind}"


class Ceremony(models.Model):
    """How far the awards have been read: which list is on stage.

    `step` grows with every move, also backwards: what a board or a second device shows is known by it. `was_public`:
    everybody could read the results already, before awards were queued or begun again.
    """

    contest = models.OneToOneField(Contest, models.CASCADE, related_name="ceremony")
    award_list = models.ForeignKey(AwardList, models.SET_NULL, null=True, blank=True, related_name="+")
    step = models.PositiveBigIntegerField(default=0)
    running = models.BooleanField(default=False)
    was_public = models.BooleanField(default=False)

    class Meta:
        verbose_name_plural = "ceremonies"

    def __str__(self) -> str:
        return f"{self.award_list}: {self.revealed}"

    @property
    def revealed(self) -> int:
        """How many rows of the list on stage are revealed."""
        return self.award_list.revealed if self.award_list else 0


class BoardChoice(models.Model):
    """What the superintendent wants on a contest's board: nothing for what comes by itself, else as
    `scoring.board.choosing` writes it. `dark` is above all that, and the choice comes back with the light."""

    contest = models.OneToOneField(Contest, models.CASCADE, related_name="board_choice")
    shows = models.CharField(max_length=80, blank=True)
    dark = models.BooleanField(default=False)

    def __str__(self) -> str:
        return self.shows


class TakeHomeLink(models.Model):
    """An unguessable address where a team or a contestant finds their sheets, until it is withdrawn."""

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="take_home_links")
    team = models.ForeignKey(Team, models.CASCADE, null=True, blank=True, related_name="+")
    contestant = models.ForeignKey(Contestant, models.CASCADE, null=True, blank=True, related_name="+")
    token = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            CheckConstraint(
                condition=Q(team__isnull=True, contestant__isnull=False)
                | Q(team__isnull=False, contestant__isnull=True),
                name="take_home_link_of_team_or_contestant",
            )
        ]

    def __str__(self) -> str:
        return f"link {self.pk}"


class Ribbon(models.Model):
    """What a place is called and which colour its ribbon has, as this contest gives them: customs differ. A set of
    results may have ribbons of its own; without any it has the contest's."""

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="ribbons")
    result_set = models.ForeignKey(ResultSet, models.CASCADE, null=True, blank=True, related_name="ribbons")
    place = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=NAME_LENGTH)
    colour = models.CharField(max_length=NAME_LENGTH, blank=True)

    class Meta:
        ordering = ["place"]
        constraints = [
            UniqueConstraint(fields=["contest", "place"], condition=Q(result_set=None), name="ribbon_place_unique"),
            UniqueConstraint(fields=["result_set", "place"], name="ribbon_place_in_set_unique"),
            CheckConstraint(condition=Q(place__gte=1), name="ribbon_place_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.place}: {self.name}"


class NextList(models.Model):
    """So many of one list go on to the next level, and so many `alternates` stand in; with `besides_teams`, whoever
    goes with a team takes no place of it."""

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="next_lists", db_index=False)
    division = models.CharField(max_length=LISTED_LENGTH)
    code = models.CharField(max_length=CODE_LENGTH)  # overall, placing, reasons or a category's
    kind = models.CharField(max_length=11, choices=AwardList.Kind)
    places = models.PositiveSmallIntegerField()
    alternates = models.PositiveSmallIntegerField(default=0)
    besides_teams = models.BooleanField(default=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(fields=["contest", "division", "code", "kind"], name="next_list_unique"),
            CheckConstraint(condition=Q(places__gte=1), name="next_list_places"),
        ]

    def __str__(self) -> str:
        return f"{self.places} of {self.division} {self.code} {self.kind}"


class NotComing(models.Model):
    """A contestant or team that does not go on to the next level, and why: the next of the list moves up."""

    holds_names = Names(words=("reason",))

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="not_coming")
    team = models.OneToOneField(Team, models.CASCADE, null=True, blank=True, related_name="not_coming")
    contestant = models.OneToOneField(Contestant, models.CASCADE, null=True, blank=True, related_name="not_coming")
    reason = models.CharField(max_length=TEXT_LENGTH)

    class Meta:
        verbose_name_plural = "not coming"
        ordering = ["pk"]
        constraints = [
            CheckConstraint(
                condition=Q(team__isnull=True, contestant__isnull=False)
                | Q(team__isnull=False, contestant__isnull=True),
                name="not_coming_of_team_or_contestant",
            ),
            CheckConstraint(condition=~Q(reason=""), name="not_coming_for_a_reason"),
        ]

    def __str__(self) -> str:
        return f"not coming {self.pk}"


class LastPrints(models.Model):
    """What each sheet of a document said when a file of it was made last: a digest by the sheet's key."""

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="last_prints", db_index=False)
    document = models.CharField(max_length=40)
    sheets = models.JSONField(default=dict)

    class Meta:
        constraints = [UniqueConstraint(fields=["contest", "document"], name="last_prints_once_a_document")]

    def __str__(self) -> str:
        return self.document


class PrintJob(models.Model):
    """A document being made in a process of its own. `choice` is what was chosen; the file lies in the data folder, and
    of several processes in their store too. `attempt` counts who began to make it: of several processes one may have
    ended meanwhile.
    """

    holds_names = Names(people=("by",))

    class State(models.TextChoices):
        WAITING = "waiting", gettext_lazy("waiting")
        RUNNING = "running", gettext_lazy("being made")
        DONE = "done", gettext_lazy("ready")
        FAILED = "failed", gettext_lazy("failed")
        CANCELLED = "cancelled", gettext_lazy("cancelled")

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="print_jobs")
    document = models.CharField(max_length=40)
    choice = models.JSONField(default=dict)
    revision = models.PositiveBigIntegerField()
    by = models.CharField(max_length=NAME_LENGTH)
    at = models.DateTimeField(auto_now_add=True)
    state = models.CharField(max_length=9, choices=State, default=State.WAITING)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    attempt = models.PositiveSmallIntegerField(default=0)
    file = models.CharField(max_length=TEXT_LENGTH, blank=True)
    problem = models.TextField(blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            CheckConstraint(
                condition=Q(state__in=["waiting", "running", "done", "failed", "cancelled"]), name="print_job_state"
            )
        ]

    def __str__(self) -> str:
        return f"{self.document} {self.state}"

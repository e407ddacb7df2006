"""The day of oral reasons: rooms, the order of speaking, and what officials note down."""

from django.db import models
from django.db.models import CheckConstraint, F, Q, UniqueConstraint
from django.utils.translation import gettext_lazy

from contest.models import Contest, Contestant, JudgingClass, ReasonsOfficial
from contest.models.helpers import NAME_LENGTH
from contest.models.names import Names
from contest.models.outline import TEXT_LENGTH
from contest.models.pair_notes import NotedPair
from scoring.core.placing import MOST_ANIMALS


class Room(models.Model):
    """A reasons room. It hears the classes it keeps or, where it keeps none, every class."""

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="rooms")
    name = models.CharField(max_length=TEXT_LENGTH)
    officials = models.ManyToManyField(ReasonsOfficial, blank=True, related_name="rooms")
    classes = models.ManyToManyField(JudgingClass, blank=True, related_name="rooms")
    shows_key = models.BooleanField(default=False)  # may its officials see the official placings and cuts?
    is_quiet = models.BooleanField(default=False)  # for whoever needs a separate room

    class Meta:
        ordering = ["pk"]
        constraints = [
            UniqueConstraint(fields=["contest", "name"], name="room_name_unique"),
            CheckConstraint(condition=~Q(name=""), name="room_named"),
        ]

    def __str__(self) -> str:
        return self.name


class ReasonsDay(models.Model):
    """How a contest hears its reasons: when, how long a set takes, and what lies between."""

    contest = models.OneToOneField(Contest, models.CASCADE, related_name="reasons_day")
    starts_at = models.TimeField()
    minutes_per_set = models.PositiveSmallIntegerField(default=2)
    minutes_to_prepare = models.PositiveSmallIntegerField(default=20)
    minutes_between_sets = models.PositiveSmallIntegerField(default=10)
    # Pairs of minutes after midnight: from, to.
    breaks = models.JSONField(default=list, blank=True)
    # Names of component marks and the most points each gives, such as [["accuracy", 20], ["delivery", 30]]; together
    # they give 50. Empty: one score.
    components = models.JSONField(default=list, blank=True)
    # What was wished for the timetable in force, and is wished again until it is changed: hours of rooms, who is late.
    wishes = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [CheckConstraint(condition=Q(minutes_per_set__gte=1), name="reasons_day_minutes_per_set")]

    def __str__(self) -> str:
        return f"reasons of {self.contest_id}"


class Slot(models.Model):
    """One contestant's set of reasons on one class, in one room at one time of day."""

    class State(models.TextChoices):
        PLANNED = "planned", gettext_lazy("planned")
        SPEAKING = "speaking", gettext_lazy("speaking")
        HEARD = "heard", gettext_lazy("heard")
        ABSENT = "absent", gettext_lazy("absent")

    room = models.ForeignKey(Room, models.PROTECT, related_name="slots")
    judging_class = models.ForeignKey(JudgingClass, models.PROTECT, related_name="slots")
    contestant = models.ForeignKey(Contestant, models.PROTECT, related_name="slots")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=State, default=State.PLANNED)
    began_at = models.DateTimeField(null=True, blank=True)
    stopped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["starts_at", "pk"]
        constraints = [
            UniqueConstraint(fields=["judging_class", "contestant"], name="slot_unique"),
            UniqueConstraint(fields=["room"], condition=Q(state="speaking"), name="one_speaks_in_a_room"),
            CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="slot_ends_after_it_starts"),
            CheckConstraint(condition=Q(state__in=["planned", "speaking", "heard", "absent"]), name="slot_state"),
        ]

    def __str__(self) -> str:
        return f"{self.contestant_id} on {self.judging_class_id}"


class TimetableSearch(models.Model):
    """One planning of a timetable that is not in force yet: `planning` is what it starts from
    (`reasons.day.kept`), `looks` how often somebody wanted something better, and `attempt` counts who began to look for
    it. `used` is the place of the draft that was put in force.
    """

    class State(models.TextChoices):
        WAITING = "waiting"
        LOOKING = "looking"
        OVER = "over"

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="timetable_searches")
    key = models.UUIDField(unique=True)
    planning = models.JSONField()
    looks = models.PositiveSmallIntegerField(default=0)
    state = models.CharField(max_length=7, choices=State, default=State.OVER)
    attempt = models.PositiveSmallIntegerField(default=0)
    used = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        constraints = [CheckConstraint(condition=Q(state__in=["waiting", "looking", "over"]), name="timetable_state")]
        verbose_name_plural = "timetable searches"

    def __str__(self) -> str:
        return str(self.key)


class TimetableDraft(models.Model):
    """A draft of a search, each better than the one at the place before it: from 1."""

    search = models.ForeignKey(TimetableSearch, models.CASCADE, related_name="drafts", db_index=False)
    place = models.PositiveSmallIntegerField()
    made = models.JSONField()

    class Meta:
        ordering = ["place"]
        constraints = [UniqueConstraint(fields=["search", "place"], name="timetable_draft_unique")]

    def __str__(self) -> str:
        return f"{self.search_id}, {self.place}"


class SetNote(models.Model):
    """What an official wrote down for themselves while hearing a set: a note, and component marks in points by name.

    Shown on that official's page to whoever wrote it, `by`, and to nobody else. It belongs to no slot: a set that is
    planned anew keeps it.
    """

    holds_names = Names(people=("by",), emptied=("note",))

    judging_class = models.ForeignKey(JudgingClass, models.CASCADE, related_name="set_notes")
    contestant = models.ForeignKey(Contestant, models.CASCADE, related_name="set_notes")
    official = models.ForeignKey(ReasonsOfficial, models.CASCADE, related_name="set_notes")
    by = models.CharField(max_length=NAME_LENGTH)
    note = models.TextField(blank=True)
    marks = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [
            UniqueConstraint(fields=["judging_class", "contestant", "official", "by"], name="set_note_unique"),
        ]

    def __str__(self) -> str:
        return f"{self.official_id} on {self.contestant_id}"


class PairNote(NotedPair):
    """What decided a pair of a class, for every room to score accuracy against the same facts.

    `by` is who wrote the class's notes first: its official. They see the notes again; no other official does, because
    notes give the placing away.
    The database knows no pair beyond those of the class (`contest/models/animals.py`).
    """

    holds_names = Names(people=("by",))

    judging_class = models.ForeignKey(JudgingClass, models.CASCADE, related_name="pair_notes")
    by = models.CharField(max_length=TEXT_LENGTH)
    at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["pair"]
        constraints = [
            UniqueConstraint(fields=["judging_class", "pair"], name="pair_note_unique"),
            CheckConstraint(condition=Q(pair__gte=1, pair__lt=MOST_ANIMALS), name="pair_note_pair"),
        ]

    def __str__(self) -> str:
        return f"pair {self.pair} of {self.judging_class_id}"

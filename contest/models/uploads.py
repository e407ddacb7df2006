"""Files that people bring, from when they come until what was in them is where it belongs."""

from django.db import models
from django.db.models import CheckConstraint, Q
from django.urls import reverse
from django.utils.translation import gettext

from contest.models.organisations import OwnedBy, Reach, WithinReach, reach_now
from contest.models.outline import Contest


class BroughtFile(models.Model):
    """A file on its way: it waits, a process of its own reads it, and its `purpose` (`contest.uploads.purposes`) does
    with its `arguments` what it was brought for. The file itself lies in the store (`contest.uploads.files`).

    `key` is the submission of the form that it came with, and `digest` of all that was sent, so that a form that is
    sent twice brings one file; empty where the form may be sent again. `kind` says how it is read, `language` in which
    language whoever brought it is told things, and `back` where another file can be brought. `at` says in words what is
    read; `done` rows are saved of about `of`, which is 0 until saving begins. `attempt` counts who began to work on it.
    `leads_to` is where to go on once it is done, and `trouble` says in words why it came to nothing.
    """

    class State(models.TextChoices):
        WAITING = "waiting"
        READING = "reading"
        DONE = "done"
        FAILED = "failed"
        CANCELLED = "cancelled"

    OPEN = (State.WAITING, State.READING)

    organisation = OwnedBy()
    contest = models.ForeignKey(Contest, models.CASCADE, null=True, blank=True, related_name="brought_files")
    key = models.UUIDField(unique=True)
    digest = models.CharField(max_length=64, blank=True)
    kind = models.CharField(max_length=20)
    name = models.TextField(blank=True)
    purpose = models.CharField(max_length=40)
    arguments = models.JSONField(default=dict)
    back = models.TextField()
    language = models.CharField(max_length=20)
    brought_at = models.DateTimeField(auto_now_add=True)
    state = models.CharField(max_length=9, choices=State, default=State.WAITING)
    attempt = models.PositiveSmallIntegerField(default=0)
    at = models.TextField(blank=True)
    done = models.PositiveIntegerField(default=0)
    of = models.PositiveIntegerField(default=0)
    leads_to = models.TextField(blank=True)
    trouble = models.TextField(blank=True)

    objects = WithinReach()
    every = models.Manager()  # noqa: DJ012 -- a manager too

    class Meta:
        ordering = ["pk"]
        constraints = [
            CheckConstraint(
                condition=Q(state__in=["waiting", "reading", "done", "failed", "cancelled"]), name="brought_file_state"
            ),
            CheckConstraint(condition=~Q(state="done") | ~Q(leads_to=""), name="brought_file_leads_somewhere"),
            CheckConstraint(condition=~Q(state="failed") | ~Q(trouble=""), name="brought_file_says_why"),
        ]

    def __str__(self) -> str:
        return str(self.key)

    def get_absolute_url(self) -> str:
        """Where to go on: to what became of it, or to the page that says how far it is."""
        return self.leads_to or reverse("upload", args=[self.key])

    @property
    def is_over(self) -> bool:
        return self.state not in self.OPEN

    @property
    def said_trouble(self) -> str:
        """The one that no process could be told in somebody's language is translated here."""
        return gettext(self.trouble) if self.trouble else ""

    @property
    def version(self) -> str:
        """Changes whenever the page of it does."""
        return f"{self.state}-{self.at}-{self.done}".replace(" ", "-")

    @property
    def reach(self) -> Reach:
        """That of whoever brought it: what is done with it is done within their organisation."""
        return Reach(self.organisation_id)

    @property
    def is_for_whoever_asks(self) -> bool:
        """Whoever may some contests alone sees what was brought for those."""
        now = reach_now()
        return now is None or now.contests is None or self.contest_id in now.contests

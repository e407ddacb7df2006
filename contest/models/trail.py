"""The append-only account of every change, in chains: each entry holds the hash of the one before."""

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from contest.models.outline import TEXT_LENGTH, Contest

HASH_LENGTH = 64
TOKEN_LENGTH = 45


class Touches(models.TextChoices):
    """What of a contest's record a change can have altered: what is kept in memory reloads no more than that."""

    EVERYTHING = "everything"
    CLASSES = "classes"
    CARDS = "cards"
    NOTHING = "nothing"


class TrailEntry(models.Model):
    """One change: who, when, what, before and after. Triggers refuse to change or delete one.

    `what` is the code of a sentence and `values` what stands in it (`contest.trail.sentences`), so that it can be said
    in any language.
    An entry belongs to the chain of its contest, where `revision` is the contest's own after the change; without a
    contest it belongs to the site's chain, of what changes no contest. `by`, and names within `before` and `after`,
    are the tokens of TrailName. `about` lists what the entry is about, such as ` class:3 contestant:101 `.
    `rows_digest` is that of what the rows it changed were before (RowChange); empty without any.
    """

    contest = models.ForeignKey(Contest, models.CASCADE, null=True, blank=True, related_name="trail", db_index=False)
    revision = models.PositiveBigIntegerField()
    at = models.DateTimeField()
    by = models.CharField(max_length=TEXT_LENGTH)
    what = models.CharField(max_length=TEXT_LENGTH)
    values = models.JSONField(default=dict, blank=True)
    touches = models.CharField(max_length=10, choices=Touches, default=Touches.EVERYTHING)
    before = models.JSONField(null=True, blank=True)
    after = models.JSONField(null=True, blank=True)
    about = models.TextField(blank=True)
    rows_digest = models.CharField(max_length=HASH_LENGTH, blank=True)
    hash = models.CharField(max_length=HASH_LENGTH)

    class Meta:
        ordering = ["revision"]
        verbose_name_plural = "trail entries"
        constraints = [
            UniqueConstraint(fields=["contest", "revision"], name="trail_revision_unique"),
            UniqueConstraint(fields=["revision"], condition=Q(contest=None), name="trail_site_revision_unique"),
        ]

    def __str__(self) -> str:
        return f"{self.revision} {self.what}"


class SiteTrail(models.Model):
    """The one row that holds how far the site's own chain is; of a contest's chain the contest holds it."""

    revision = models.PositiveBigIntegerField(default=0)
    trail_head = models.CharField(max_length=HASH_LENGTH, blank=True)

    class Meta:
        constraints = [CheckConstraint(condition=Q(pk=1), name="trail_site_once")]

    def __str__(self) -> str:
        return f"at {self.revision}"


class TrailName(models.Model):
    """A name in the trail: entries hold `token`, the digest of salt and name, and this row says whose it is.

    Without `name` and `salt` the name is forgotten: the chain still proves, and nobody can tell who it was.
    """

    contest = models.ForeignKey(Contest, models.SET_NULL, null=True, blank=True, related_name="trail_names")
    token = models.CharField(max_length=TOKEN_LENGTH, unique=True)
    salt = models.CharField(max_length=32, blank=True)
    name = models.CharField(max_length=TEXT_LENGTH, null=True, blank=True)  # noqa: DJ001 -- many are none, one is ""

    class Meta:
        constraints = [
            UniqueConstraint(fields=["contest", "name"], name="trail_name_unique"),
            UniqueConstraint(fields=["name"], condition=Q(contest=None), name="trail_site_name_unique"),
            CheckConstraint(
                condition=Q(name=None, salt="") | (Q(name__isnull=False) & ~Q(salt="")), name="trail_name_salted"
            ),
        ]

    def __str__(self) -> str:
        return self.name or "a forgotten name"


class TrailDoor(models.Model):
    """While a contest's key stands here, its trail can be deleted with it. Only `contest.trail.removing` opens it."""

    contest_key = models.PositiveBigIntegerField(unique=True)  # no foreign key: it must outlast the contest's row

    def __str__(self) -> str:
        return str(self.contest_key)

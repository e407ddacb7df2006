"""Cards that are read by a scanner: pages that were brought, each card that was found on one, and its picture."""

from django.db import models
from django.db.models import CheckConstraint, Index, Q, UniqueConstraint
from django.utils.translation import gettext_lazy as _

from contest.models.helpers import NAME_LENGTH
from contest.models.names import Names
from contest.models.outline import TEXT_LENGTH, Contest, JudgingClass, Part
from scoring.core.questions import MOST_QUESTIONS


class ScanRules(models.Model):
    """How a contest reads cards by scanner; one without such a row does not.

    Where every card is read once, the scanner reads alone, and a sample of its cards is read by a person too: so large
    that more than `most_wrong` of a thousand would show with `confidence` percent. `seed` says which cards.
    """

    contest = models.OneToOneField(Contest, models.CASCADE, related_name="scan_rules")
    on = models.BooleanField(default=False)
    most_wrong = models.PositiveSmallIntegerField(default=10)
    confidence = models.PositiveSmallIntegerField(default=95)
    seed = models.CharField(max_length=16)
    keep_days = models.PositiveSmallIntegerField(default=30)  # after the release; 0: with the contest
    on_packets = models.BooleanField(default=False)  # may families see the picture of their own card?

    class Meta:
        verbose_name_plural = "scan rules"
        constraints = [
            CheckConstraint(condition=Q(most_wrong__gte=1, most_wrong__lte=200), name="scan_rules_most_wrong"),
            CheckConstraint(condition=Q(confidence__gte=50, confidence__lte=99), name="scan_rules_confidence"),
            CheckConstraint(condition=~Q(seed=""), name="scan_rules_seed"),
        ]

    def __str__(self) -> str:
        return f"cards of {self.contest_id} by scanner"


class Scan(models.Model):
    """Pages that somebody brought at once: one file, or several pictures. `digest` is the SHA-256 of the file, or of
    the digests of several; the same pages are never read twice.

    `pages` is 0 until it is known; `page` is how many of them are done, in order, and `skipped` how many of those were
    left out since they could not be read at all. `trouble` is a code of `contest.scanning.troubles`.
    """

    class State(models.TextChoices):
        WAITING = "waiting", _("waits")
        READING = "reading", _("is being read")
        DONE = "done", _("read")
        CANCELLED = "cancelled", _("cancelled")
        FAILED = "failed", _("stopped")

    holds_names = Names(people=("by",), emptied=("name",))

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="scans", db_index=False)
    digest = models.CharField(max_length=64)
    name = models.CharField(max_length=TEXT_LENGTH, blank=True)
    by = models.CharField(max_length=NAME_LENGTH)
    at = models.DateTimeField(auto_now_add=True)
    state = models.CharField(max_length=9, choices=State, default=State.WAITING)
    pages = models.PositiveIntegerField(default=0)
    page = models.PositiveIntegerField(default=0)
    skipped = models.PositiveIntegerField(default=0)
    trouble = models.CharField(max_length=20, blank=True)
    attempt = models.PositiveSmallIntegerField(default=0, db_default=0)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            UniqueConstraint(fields=["contest", "digest"], name="scan_once"),
            CheckConstraint(
                condition=Q(state__in=["waiting", "reading", "done", "cancelled", "failed"]), name="scan_state"
            ),
            CheckConstraint(condition=~Q(digest=""), name="scan_digest"),
        ]

    def __str__(self) -> str:
        return self.digest[:12]


class ScannedCard(models.Model):
    """One card that was found on a page, by its `place` there, and what became of it.

    `judging_class`, or of a keep/cull card or answer sheet `part`, and `number` are what its code says, as far as it
    could be read; `placing` is what the scanner reads, or which animals are kept, or the row of answers, also where it
    is not `certain`: then `_` stands for an answer that nobody knows yet. `confidence` is in
    thousandths. `troubles` are codes, with spaces between. One that the scanner is certain of, and that fits, is a
    reading under its `submission`; so is what a person types of any other. One that is put aside has a `reason`.
    """

    class Became(models.TextChoices):
        READING = "reading", _("read by scanner")
        WAITING = "waiting", _("waits for a person")
        SETTLED = "settled", _("read by a person")
        ASIDE = "aside", _("put aside")

    holds_names = Names(people=("by",), words=("reason",))

    scan = models.ForeignKey(Scan, models.CASCADE, related_name="cards", db_index=False)
    page = models.PositiveIntegerField()
    place = models.PositiveSmallIntegerField()
    judging_class = models.ForeignKey(JudgingClass, models.SET_NULL, null=True, blank=True, related_name="scanned")
    part = models.ForeignKey(Part, models.SET_NULL, null=True, blank=True, related_name="scanned")
    number = models.PositiveIntegerField(null=True, blank=True)
    placing = models.CharField(max_length=MOST_QUESTIONS, blank=True)
    certain = models.BooleanField(default=False)
    confidence = models.PositiveSmallIntegerField(default=0)
    troubles = models.CharField(max_length=TEXT_LENGTH, blank=True)
    became = models.CharField(max_length=7, choices=Became)
    submission = models.UUIDField(unique=True)
    by = models.CharField(max_length=NAME_LENGTH, blank=True)
    reason = models.CharField(max_length=TEXT_LENGTH, blank=True)

    class Meta:
        ordering = ["pk"]
        indexes = [
            Index(fields=["judging_class", "number"], name="scanned_card_of"),  # the pictures of one card
            Index(fields=["became", "scan"], name="scanned_card_waits"),  # what is left to people
        ]
        constraints = [
            UniqueConstraint(fields=["scan", "page", "place"], name="scanned_card_place"),
            CheckConstraint(
                condition=Q(became__in=["reading", "waiting", "settled", "aside"]), name="scanned_card_became"
            ),
            CheckConstraint(condition=Q(confidence__lte=1000), name="scanned_card_confidence"),
            CheckConstraint(condition=Q(judging_class=None) | Q(part=None), name="scanned_card_of_one"),
            CheckConstraint(
                condition=Q(became__in=["settled", "aside"]) & ~Q(by="") | Q(became__in=["reading", "waiting"]),
                name="scanned_card_by",
            ),
            CheckConstraint(
                condition=Q(became="aside") & ~Q(reason="") | ~Q(became="aside"), name="scanned_card_aside"
            ),
        ]

    def __str__(self) -> str:
        return f"page {self.page}, card {self.place}"

    @property
    def clearness(self) -> int:
        """How far its marks are from being read otherwise, of 100; no probability."""
        return self.confidence // 10


class CardPicture(models.Model):
    """The cut-out picture of a scanned card, JPEG or PNG. It goes before the rest does: see `ScanRules.keep_days`."""

    card = models.OneToOneField(ScannedCard, models.CASCADE, related_name="picture")
    image = models.BinaryField()

    def __str__(self) -> str:
        return f"picture of {self.card_id}"

"""What rows were before they changed, written down by the database itself."""

from django.db import models
from django.db.models import CheckConstraint, Index, Q

from contest.models.outline import Contest


class RowChange(models.Model):
    """One row that a change inserted, updated or deleted; triggers write it (`contest.row_changes.triggers`).

    `before` is the row's columns as they were, as JSON, null for an insert. `contest` and `revision` are those of the
    change; null until `contest.trail.record_change` stamps them, in the transaction that made the change. `salt` is
    random, so that nobody can guess a name from the digest that the trail holds of the row; `digest` keeps that digest
    where `before` was made anonymous later, and is empty otherwise.
    """

    class Kind(models.TextChoices):
        INSERT = "insert"
        UPDATE = "update"
        DELETE = "delete"

    contest = models.ForeignKey(Contest, models.CASCADE, null=True, related_name="row_changes", db_index=False)
    revision = models.PositiveBigIntegerField(null=True)
    of_table = models.CharField(max_length=63)
    row = models.BigIntegerField()
    kind = models.CharField(max_length=6, choices=Kind)
    salt = models.CharField(max_length=32, blank=True)
    before = models.TextField(null=True)  # noqa: DJ001 -- null: there was no row
    digest = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            CheckConstraint(condition=Q(kind__in=["insert", "update", "delete"]), name="row_change_kind"),
            CheckConstraint(
                condition=Q(kind="insert", before__isnull=True) | ~Q(kind="insert") & Q(before__isnull=False),
                name="row_change_before",
            ),
        ]
        # Those of one change, those since a revision, and, where both are null, those not stamped yet.
        indexes = [Index(fields=["contest", "revision"], name="row_change_of_revision")]

    def __str__(self) -> str:
        return f"{self.kind} of {self.of_table} {self.row}"


class Unrecorded(models.Model):
    """While a transaction holds a row of this table, what it changes is not written down. No other ever sees it."""

    class Meta:
        verbose_name_plural = "unrecorded"

    def __str__(self) -> str:
        return str(self.pk)

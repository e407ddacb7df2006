"""What decided a pair of a class, as a row holds it, of a contest or a practice."""

from __future__ import annotations

from django.db import models


class NotedPair(models.Model):
    """`pair` is 1 (top), 2 (middle), 3 (bottom) and so on of the official placing."""

    pair = models.PositiveSmallIntegerField()
    decided_by = models.TextField(blank=True)
    grants = models.TextField(blank=True)
    faults = models.TextField(blank=True)

    class Meta:
        abstract = True

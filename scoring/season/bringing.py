"""What is done with a book for a season once it is read: it waits until the coach has said who of it is a member.

It waits in a cache, at whichever process: the names of all who were there stand in it.
"""

from __future__ import annotations

from uuid import UUID

from django.core.cache import caches
from django.shortcuts import resolve_url

from contest.uploads.purposes import Purpose
from contest.uploads.working import OnItsWay
from scoring.models import Season
from scoring.season.arriving import Arrived, from_book

NAME = "season"
WAITS = 4 * 60 * 60
"""Seconds in which somebody says who of a book is who."""


def putting_into(season: Season) -> Purpose:
    return Purpose(NAME, {"season": season.pk})


def let_wait(brought: OnItsWay, season: int) -> None:
    row = Season.objects.get(pk=season)
    arrived = from_book(brought.lines())
    there = resolve_url("season-book", row.pk, brought.key)
    brought.end_with(lambda: caches["shared"].set(_slot(row, brought.key), arrived, WAITS), lambda _: there)


def waiting(season: Season, key: UUID) -> Arrived | None:
    """None where it was long ago, or is saved."""
    arrived: Arrived | None = caches["shared"].get(_slot(season, key))
    return arrived


def no_longer(season: Season, key: UUID) -> None:
    caches["shared"].delete(_slot(season, key))


def _slot(season: Season, key: UUID) -> str:
    return f"season-book:{season.pk}:{key}"

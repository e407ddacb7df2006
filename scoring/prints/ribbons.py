"""Changes to what the awards look like: the table of ribbons, and the contest's picture."""

from __future__ import annotations

import hashlib
import json

from contest.changes import changes, take_turn
from contest.models import Contest, ResultSet, Touches
from contest.trail import record_change, sentence
from scoring.models import Ribbon
from scoring.prints.pictures import drop_picture, keep_picture

Ribbons = dict[int, tuple[str, str]]
"""Name and colour by place."""


class RibbonsChanged(Exception):
    """Raised where the table is no longer what whoever changes it saw; `theirs` is what it says now."""

    def __init__(self, theirs: Ribbons) -> None:
        super().__init__("the ribbons were changed meanwhile")
        self.theirs = theirs


def ribbons_of(contest: Contest, result_set: ResultSet | None = None) -> Ribbons:
    """The contest's own table, or that of a set of results: empty where the set has the contest's."""
    rows = contest.ribbons.filter(result_set=result_set).values_list("place", "name", "colour")
    return {place: (name, colour) for place, name, colour in rows}


def fingerprint(ribbons: Ribbons) -> str:
    """What stands for a table that somebody saw."""
    return hashlib.sha256(json.dumps(sorted(ribbons.items())).encode()).hexdigest()[:16]


@changes
def set_ribbons(contest: Contest, ribbons: Ribbons, by: str, saw: str, result_set: ResultSet | None = None) -> None:
    """Put a table of ribbons in place of the one that was seen. Raises RibbonsChanged."""
    take_turn(contest.pk)
    before = ribbons_of(contest, result_set)
    if before == ribbons:
        return
    if fingerprint(before) != saw:
        raise RibbonsChanged(before)
    contest.ribbons.filter(result_set=result_set).delete()
    Ribbon.objects.bulk_create(
        Ribbon(contest=contest, result_set=result_set, place=place, name=name, colour=colour)
        for place, (name, colour) in ribbons.items()
    )
    record_change(
        contest,
        by,
        sentence("ribbons_of_set", named=result_set.code) if result_set else sentence("ribbons_set"),
        before={str(place): row for place, row in before.items()},
        after={str(place): row for place, row in ribbons.items()},
        touches=Touches.NOTHING,
    )


@changes
def set_picture(contest: Contest, ending: str, clean: bytes, by: str) -> None:
    """Give the contest's award sheets a picture, as `pictures.checked` made it."""
    record_change(contest, by, sentence("picture_set"), touches=Touches.NOTHING)
    keep_picture(contest.pk, ending, clean)


@changes
def take_picture_away(contest: Contest, by: str) -> None:
    record_change(contest, by, sentence("picture_taken_away"), touches=Touches.NOTHING)
    drop_picture(contest.pk)

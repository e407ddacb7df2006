"""What the superintendent's page of results shows."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.timezone import localtime

from contest.models import Contest
from scoring.differences import Differences, ListDifference, Moved, Place
from scoring.explain import figure, list_names, listed
from scoring.models import KeyRelease, Protest, ProtestWindow
from scoring.results.checklist import SECTIONS, Item, numbers
from scoring.results.corrections import unannounced
from scoring.results.critique import against_a_critique
from scoring.results.forms import LOCAL_TIME, first_deadline
from scoring.results.release import still_to_accept
from scoring.results.released import released
from scoring.standings import Tallied

FEW_ROWS = 40
"""Rows that move, up to which every list of them is laid open."""


@dataclass(frozen=True, slots=True)
class MovedRow:
    """A row as the list of changes shows it: from where to where, in words and figures."""

    whose: str
    old_rank: str
    new_rank: str
    old_total: str
    new_total: str
    counting: str
    direction: str


@dataclass(frozen=True, slots=True)
class KeyLine:
    """A class with a key, and whether it is shown in public; `against` says why it should not be yet."""

    number: int
    name: str
    has_key: bool
    shown_at: Any
    against: list[str]
    address: str


def results_page(contest: Contest, shown: Tallied) -> dict[str, Any]:
    """Everything on the page: the checklist, or what is not announced; protests; the keys; and the ways out."""
    announced = released(contest)
    items = still_to_accept(contest, shown)
    found = unannounced(contest, shown)
    window = ProtestWindow.objects.filter(contest=contest).first()
    return {
        "announced": announced,
        "sections": [(title, [item for item in items if item.section == title]) for title in SECTIONS],
        "items": items,
        "seen": seen(items),
        "differences": found,
        "moved": list(_moved(found, shown)),
        "few": sum(len(one.rows) for one in found.lists) <= FEW_ROWS,
        "also": also_changed(found),
        "releases": list(contest.releases.defer("book")),
        "window": window,
        "deadline": localtime(window.deadline).strftime(LOCAL_TIME) if window else first_deadline(),
        "protests": list(Protest.objects.filter(contest=contest)),
        "keys": list(_keys(contest, shown)),
        "has_lists": bool(shown.result.standings),
    }


def seen(items: Iterable[Item]) -> str:
    """Stands for the lines that somebody has before their eyes."""
    return hashlib.sha256(" ".join(item.key for item in items).encode()).hexdigest()[:16]


def also_changed(found: Differences) -> list[str]:
    """What changes besides places and totals, in words."""
    words = []
    if found.keys:
        one = len(found.keys) == 1
        words.append(f"the key of class{'' if one else 'es'} {listed(map(str, found.keys))}")
    people = sorted({whose for score in found.scores if isinstance(whose := score.whose, int)})
    if people:
        words.append(f"scores of {numbers(people)}")
    if found.people:
        words.append(f"name, team or division of {listed(map(str, found.people))}")
    if found.standardised:
        words.append("whether reasons are standardised")
    if found.outline:
        words.append("what the contest, its classes or its lists are called or ask for")
    return words


def _moved(found: Differences, shown: Tallied) -> Iterator[dict[str, Any]]:
    names = list_names(shown.record)
    divisions = {division.code: division.name for division in shown.record.divisions}
    for one in found.lists:
        division = divisions.get(one.division, one.division)
        rows = [_row(one, row) for row in one.rows]
        yield {
            "title": f"{division}, {names.get(one.code, one.code)}",
            "kind": one.kind,
            "rows": rows,
            "ranks": sum(row.direction != "same" for row in rows),
        }


def _row(of: ListDifference, row: Moved) -> MovedRow:
    old, new = row.old, row.new
    counting = ""
    if old and new and old.counting != new.counting:
        counting = f"counting {', '.join(map(str, new.counting))}, not {', '.join(map(str, old.counting))}"
    return MovedRow(str(row.whose), _rank(old), _rank(new), _total(old), _total(new), counting, _direction(old, new))


def _rank(place: Place | None) -> str:
    return str(place.rank) if place else "–"


def _total(place: Place | None) -> str:
    return figure(place.total) if place else "–"


def _direction(old: Place | None, new: Place | None) -> str:
    if old is None or new is None:
        return "new" if old is None else "gone"
    return "up" if new.rank < old.rank else "down" if new.rank > old.rank else "same"


def _keys(contest: Contest, shown: Tallied) -> Iterator[KeyLine]:
    released_at = dict(
        KeyRelease.objects.filter(judging_class__contest=contest).values_list("judging_class__number", "at")
    )
    rows = {judged.number: judged for judged in contest.classes.all()}
    for judged in shown.record.classes:
        if judged.places and judged.number in rows:
            at = released_at.get(judged.number)
            has_key = judged.official is not None
            against = against_a_critique(contest, rows[judged.number], shown) if has_key and not at else []
            address = reverse("public-class", args=[contest.pk, judged.number])
            yield KeyLine(judged.number, judged.name, has_key, at and localtime(at), against, address)

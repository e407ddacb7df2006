"""The pages that everybody may read: the same for the live site and for a static copy of it.

They are made from what was announced alone, so nothing else can come to stand on them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from contest.overview.pages import KeySign, key_signs
from scoring.announced.released import Released
from scoring.core.class_picture import picture_of
from scoring.core.common import given_in, most_did
from scoring.core.explain import key_in_words, pairs_lost
from scoring.core.placing import ANIMALS
from scoring.core.points import figure
from scoring.core.record import JudgingClass, Record, Rules
from scoring.core.result import Standing
from scoring.core.tally import grid_of
from scoring.results.corrections import moved_lists
from scoring.standings.listing import View, standings_page


@dataclass(frozen=True, slots=True)
class Site:
    """Where the public pages and their parts stand, on the live site or in a folder."""

    start: str
    list_address: Callable[[str, str], str]
    class_address: Callable[[int], str]
    styles: tuple[str, ...]
    print_style: str
    icon: str
    downloads: tuple[tuple[str, str], ...] = ()
    live: bool = True


@dataclass(frozen=True, slots=True)
class ShownClass:
    """A class with its key, as `contest/_key.html` sets it."""

    number: int
    name: str
    perfect: int
    void: bool
    full: bool
    key: tuple[KeySign, ...]
    key_in_words: str
    animals: int


@dataclass(frozen=True, slots=True)
class GridRow:
    placing: str
    score: str
    official: bool
    lost: tuple[str, ...]
    cards: int


def list_page(announced: Released, site: Site, standing: Standing | None, view: View | None = None) -> dict[str, Any]:
    """One list as it was announced."""
    record = announced.record
    page = standings_page(record, announced.result, standing, site.list_address, announced.unsettled, view)
    more = {"class_links": class_links(record, site), "corrections": list(_corrections(announced, standing))}
    return frame(record.rules, announced, site) | page | more


def _corrections(announced: Released, standing: Standing | None) -> Iterator[dict[str, Any]]:
    """What each correction did to a list, the last one first."""
    for made in reversed(announced.announcements[1:]):
        lists = [
            moved
            for moved in made.lists
            if standing and (moved.division, moved.code) == (standing.division, standing.code)
        ]
        if lists:
            yield {"said": announced.correction_text(made), "lists": list(moved_lists(lists, announced.record))}


def class_links(record: Record, site: Site) -> list[dict[str, Any]]:
    """The way to each class whose key is known."""
    return [
        {"number": judged.number, "name": judged.name, "address": site.class_address(judged.number)}
        for judged in record.classes
        if judged.official is not None and judged.needs_key
    ]


def class_page(
    judged: JudgingClass,
    rules: Rules,
    site: Site,
    announced: Released | None,
    shown_at: Any = None,
    corrected: str = "",
) -> dict[str, Any]:
    """A class's official placing, cuts and grid; once it was announced, how many gave each placing, and never who."""
    given = _given(judged, announced) if announced else Counter[str]()
    return frame(rules, announced, site) | {
        "judged": show(judged),
        "grid": list(_grid(judged, rules, given)),
        "given": bool(given),
        "every": len(judged.animals) <= len(ANIMALS),
        "most": most_did(given),
        "picture": picture_of(judged, rules, given) if given else None,
        "shown_at": shown_at,
        "key_corrected": corrected,
    }


def _given(judged: JudgingClass, announced: Released) -> Counter[str]:
    return Counter() if judged.void or judged.full_points else given_in(announced.record, judged.number)


def frame(rules: Rules, announced: Released | None, site: Site) -> dict[str, Any]:
    """What every public page shows round its own part."""
    return {
        "rules": rules,
        "site": site,
        "announced": announced,
        "revision": announced.revision if announced else None,
        "changed_at": announced.at if announced else None,
    }


def show(judged: JudgingClass) -> ShownClass:
    assert judged.official is not None and judged.cuts is not None
    return ShownClass(
        judged.number,
        judged.name,
        judged.perfect,
        judged.void,
        judged.full_points,
        key_signs(judged.official, judged.cuts),
        key_in_words(judged.official, judged.cuts),
        len(judged.animals),
    )


def _grid(judged: JudgingClass, rules: Rules, given: Counter[str]) -> Iterator[GridRow]:
    assert judged.official is not None and judged.cuts is not None
    for placing, points in grid_of(judged, rules, given):
        lost = tuple(pairs_lost(judged.official, judged.cuts, placing))
        yield GridRow(placing, figure(points), placing == judged.official, lost, given[placing])

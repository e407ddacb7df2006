"""What the board shows: how far the judging is, what is being revealed, or the standings as they were announced.

Everything that follows from a score comes from `released`, and during a ceremony no row is taken from it that is not
revealed: what is not here cannot reach a browser.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.changes.snapshot import one_snapshot
from contest.models import Contest
from contest.watch.counting import progress_of
from contest.watch.key_pages import KeyShown, show_key
from contest.watch.progress import Count, Estimate, Progress
from scoring.announced.held_back import ceremony_of, is_awaited
from scoring.announced.keys import ShownKey, shown_key
from scoring.announced.released import Released, released
from scoring.board.awards import (
    AwardRow,
    ListKey,
    NamedList,
    capitalised,
    named_lists,
    ordinal,
    rows_of,
    split,
    ties_of,
)
from scoring.board.ceremony import key_of
from scoring.board.choosing import choice_of, key_wish, list_wish, picture_wish
from scoring.board.day import DayOnBoard, day_on_board, is_of_day, version_of_day
from scoring.board.pictures import PictureOnBoard, picture_on_board
from scoring.board.sheets import MOST_ROWS, MOST_TIES, Sheet, Shown
from scoring.core.explain import standardised_note
from scoring.core.people import shown_name
from scoring.core.points import as_figure
from scoring.core.standardising import is_standardising
from scoring.models import AwardList, BoardChoice, Ceremony
from scoring.standings.rows import provisional, short_by

Scene = Literal["judging", "awaited", "ceremony", "standings", "one-key", "picture", "sweepstakes", "dark"]

ASKS_EVERY: dict[Scene, float] = {
    "judging": 1,
    "awaited": 1,
    "ceremony": 0.9,
    "standings": 5,
    "one-key": 1,
    "picture": 1,
    "sweepstakes": 5,
    "dark": 1,
}
"""Seconds between two questions of one board: a reading and a reveal are waited for, a standing is not."""

PHONES_ASK_EVERY: dict[Scene, float] = ASKS_EVERY | {"judging": 3, "one-key": 3, "picture": 3, "dark": 3}
"""The same on a phone: there are hundreds of them, and none may slow down a desk. A reveal all see at once."""


MOST_FIRST = 2
"""Who share the first place and stand beside each other."""


@dataclass(frozen=True, slots=True)
class BoardList(Sheet):
    """One list of the standings."""

    named: NamedList
    provisional: bool = False

    @property
    def anchor(self) -> str:
        return "-".join(self.named.key)


@dataclass(frozen=True, slots=True)
class OnStage:
    """The list that is being read: its last revealed row, those revealed before it, and how many are hidden.

    `first`: whoever is first, one or two, and then there is room for nobody else; of more, who was revealed last.
    """

    named: NamedList
    place: str
    latest: Shown | None
    before: Sequence[Shown]
    hidden: int
    rows: int

    @property
    def first(self) -> Sequence[Shown]:
        revealed = [self.latest, *self.before] if self.latest else []
        first = [line for line in revealed if line.rank == 1]
        return first if len(first) <= MOST_FIRST else first[:1]


@dataclass(frozen=True, slots=True)
class KeyOnBoard:
    number: int
    name: str
    key: KeyShown
    corrected: str


@dataclass(frozen=True, slots=True)
class Board:
    """`moves_with_time`: it is another one after a while, though nothing was changed. `stays`: somebody chose what it
    shows. `hangs_on`: the version of the contest's day, where it is another one with that; empty of all others."""

    kind: Scene
    contest: Contest
    progress: Progress | None = None
    left: str = ""
    keys: Sequence[KeyOnBoard] = ()
    sheets: Sequence[BoardList] = ()
    awaited: Sequence[NamedList] = ()
    on_stage: OnStage | None = None
    picture: PictureOnBoard | None = None
    day: DayOnBoard | None = None
    hangs_on: str = ""
    corrected: str = ""
    standardised: str = ""
    stays: bool = False

    @property
    def asks_every(self) -> float:
        return ASKS_EVERY[self.kind]

    @property
    def phones_ask_every(self) -> float:
        return PHONES_ASK_EVERY[self.kind]

    @property
    def moves_with_time(self) -> bool:
        return self.kind == "judging"


@one_snapshot()
def board_of(contest: Contest) -> Board:
    """The board of a contest at this moment."""
    choice = choice_of(contest)
    if choice.dark:
        return Board("dark", contest)
    if not is_of_day(choice.shows):
        return _by_contest(contest, choice)
    version, day = version_of_day(contest.pk), day_on_board(contest, choice.shows)
    if day is None:
        return replace(_by_contest(contest, choice), hangs_on=version)
    return Board("sweepstakes", contest, day=day, corrected=day.corrected, stays=True, hangs_on=version)


def _by_contest(contest: Contest, choice: BoardChoice) -> Board:
    keys = shown_keys(contest)
    if chosen_key := next((key for key in keys if key_wish(key.number) == choice.shows), None):
        return Board("one-key", contest, keys=[chosen_key], corrected=chosen_key.corrected, stays=True)
    if pictured := next((key for key in keys if picture_wish(key.number) == choice.shows), None):
        picture = picture_on_board(contest, pictured.number)
        return Board("picture", contest, keys=[pictured], picture=picture, corrected=pictured.corrected, stays=True)
    announced = released(contest)
    if announced is None:
        progress, left = progress_of(contest)
        return Board("judging", contest, progress=progress, left=how_far(progress, left), keys=keys)
    ceremony = ceremony_of(contest)
    if is_awaited(contest, ceremony):
        known = {named.key: named for named in named_lists(announced.record, announced.result)}
        queue = [known[key_of(row)] for row in contest.award_lists.all() if key_of(row) in known]
        return Board("awaited", contest, awaited=queue, corrected=announced.corrected)
    standardised = standardised_note() if is_standardising(announced.record) else ""
    if ceremony and ceremony.running:
        return Board(
            "ceremony",
            contest,
            on_stage=on_stage(announced, ceremony, ceremony.award_list),
            corrected=announced.corrected,
            standardised=standardised,
        )
    sheets = sheets_of(announced)
    chosen = [sheet for sheet in sheets if list_wish(sheet.named.key) == choice.shows]
    return Board(
        "standings",
        contest,
        sheets=chosen or sheets,
        stays=bool(chosen),
        corrected=announced.corrected,
        standardised=standardised,
    )


def shown_keys(contest: Contest) -> list[KeyOnBoard]:
    """The keys that were released by themselves."""
    keys: list[KeyOnBoard] = []
    for judged in contest.classes.filter(key_release__isnull=False):
        shown: ShownKey | None = shown_key(judged)
        if shown:
            keys.append(KeyOnBoard(judged.number, judged.name, show_key(shown.key), shown.corrected))
    return keys


def sheets_of(announced: Released) -> list[BoardList]:
    """Every list that was announced, in the contest's order."""
    names = names_of(announced)
    open_ends = {
        division.code: bool(provisional(announced.record, announced.result, division.code))
        for division in announced.record.listed_divisions
    }
    sheets = []
    for named in named_lists(announced.record, announced.result):
        rows = rows_of(announced.result, named.key)
        shown = lines(announced, named.key, rows[:MOST_ROWS], names)
        sheets.append(BoardList(shown, len(rows), named, open_ends[named.key.division]))
    return sheets


def on_stage(announced: Released, ceremony: Ceremony, award_list: AwardList | None) -> OnStage | None:
    """What is revealed of the list on stage. Rows that are hidden are only counted."""
    if award_list is None:
        return None
    key = key_of(award_list)
    named = next((n for n in named_lists(announced.record, announced.result) if n.key == key), None)
    if named is None:
        return None
    rows = rows_of(announced.result, key, award_list.places)
    hidden, shown = split(rows, ceremony.revealed)
    revealed = lines(announced, key, shown, names_of(announced))
    first = revealed[0] if revealed else None
    place = place_on_board(first) if first else ""
    return OnStage(named, place, first, revealed[1:], len(hidden), len(rows))


def place_on_board(line: Shown) -> str:
    """`Third`, `Tied for third`."""
    if line.tied:
        return _("Tied for {ordinal}").format(ordinal=ordinal(line.rank))
    return capitalised(ordinal(line.rank))


def names_of(announced: Released) -> dict[int, str]:
    show_as = announced.record.rules.show_people_as
    return {person.number: shown_name(person, show_as) for person in announced.record.contestants}


def lines(announced: Released, key: ListKey, rows: Sequence[AwardRow], names: dict[int, str]) -> list[Shown]:
    """These rows as the crowd sees them; of others there is not a word in them."""
    ties = ties_of(announced.record, announced.result, key, rows[:MOST_TIES])
    ties += [""] * (len(rows) - len(ties))
    return [
        Shown(
            row.rank,
            row.tied,
            row.number,
            row.team if row.number is None else names.get(row.number, ""),
            "" if row.number is None else row.team,
            row.total,
            short,
            row.counting,
            tie,
        )
        for row, short, tie in zip(rows, short_by([row.total for row in rows]), ties, strict=True)
    ]


def how_far(progress: Progress, left: Estimate) -> str:
    """How long the reading of cards still takes, in words for a crowd; empty where nobody can know.

    A forecast is worth something once every class has cards and half of all are read: before, it tells how fast a few
    people type, and nothing of the classes that are still being judged.
    """
    judged = [row.total for row in progress.rows if row.total.due and row.counts]
    is_known = all(count.read for count in judged) and 2 * progress.total.read >= progress.total.due
    return time_left(progress.total, left, is_known)


def time_left(total: Count, left: Estimate, is_known: bool) -> str:
    """In round words."""
    if not total.due:
        return ""
    if total.is_done:
        return _("Every card is checked")
    if left.needed == 0:
        return _("Every card is in, the last are being checked")
    if left.minutes is None or not is_known:
        return ""
    if left.minutes >= 90:
        hours = as_figure(f"{math.ceil(left.minutes / 30) / 2:g}")
        return _("About {hours} hours to go").format(hours=hours)
    minutes = left.minutes if left.minutes < 10 else math.ceil(left.minutes / 5) * 5
    return ngettext("About {count} minute to go", "About {count} minutes to go", minutes).format(count=minutes)

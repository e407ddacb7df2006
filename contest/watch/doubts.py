"""Everything that waits for the superintendent's eye, oldest first.

A doubt is found in what was read, never stored, so that none can be lost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from django.core.cache import cache
from django.db.models import Exists, OuterRef, Q

from contest.models import (
    Card,
    ClassDivision,
    Contest,
    Contestant,
    JudgingClass,
    Mark,
    MarkReading,
    Part,
    Reading,
    State,
    Team,
)
from contest.score_reading import in_words
from contest.snapshot import one_snapshot
from reasons.models import ReasonsOfficial, ReasonsReading, ReasonsScore
from scoring.record import NO_CARD, UNREADABLE

DIFFERS = "differs"
REPEATED = "repeated"
LATE = "late"
UNKNOWN = "unknown"
WRONG_CLASS = "wrong-class"
ABSENT = "absent"

OPEN = Q(state=State.DOUBT) | Q(contestant__present=False, hundredths__isnull=False)
"""Scores about which there may be a doubt: readings differ, or somebody absent has one."""

TITLES = {
    DIFFERS: "Readings differ",
    REPEATED: "Two cards, one reader",
    LATE: "Read after the decision",
    UNKNOWN: "Unknown number",
    WRONG_CLASS: "Wrong class",
    ABSENT: "Marked absent",
}


LOOK_AT_THE_SLIP = "Look at the slip: what does it say?"
OFFICIALS_OWN = "The official entered one of them on the room’s tablet. Ask the official, or look at the slip."


class Said(NamedTuple):
    """One reading as the doubt shows it; `letter` picks it."""

    pk: int
    letter: str
    value: Any
    text: str
    by: str
    at: datetime
    decides: bool
    reason: str
    by_official: bool = False


class Place(NamedTuple):
    """The page of a card or slip: the name of its address and what follows the contest there."""

    name: str
    args: tuple[Any, ...]

    @property
    def key(self) -> str:
        return "-".join(map(str, (self.name, *self.args)))


def card_place(class_number: int, number: int) -> Place:
    return Place("card", (class_number, number))


def reasons_place(judged: JudgingClass, official: ReasonsOfficial, contestant: Contestant) -> Place:
    return Place("reasons-score", (judged.number, official.pk, contestant.number))


def mark_place(part: Part, owner: Contestant | Team) -> Place:
    if isinstance(owner, Team):
        return Place("team-mark", (part.pk, owner.pk))
    return Place("mark", (part.pk, owner.number))


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something to be decided. `about` is `card`, `reasons` or `mark`; `place` is where all about it stands; `key`
    names it on the page.

    `seen` tells what of it somebody had before their eyes: whoever decides on less than there is by then is told.
    """

    about: str
    kind: str
    place: Place
    key: str
    what: str
    text: str
    since: datetime
    said: tuple[Said, ...]
    number: int | None = None
    class_number: int | None = None
    stray: bool = False
    known: bool = True

    @property
    def title(self) -> str:
        return TITLES[self.kind]

    @property
    def seen(self) -> str:
        return seen(said.pk for said in self.said)


def seen(readings: Iterable[int]) -> str:
    """What stands for the readings that somebody saw."""
    return "-".join(map(str, sorted(readings)))


@one_snapshot()
def doubts_of(contest: Contest) -> list[Doubt]:
    """Every doubt of the contest, oldest first, in a constant number of queries."""
    found = [*_card_doubts(contest), *_reasons_doubts(contest), *_mark_doubts(contest)]
    return sorted(found, key=lambda doubt: doubt.since)


def doubt_count(contest: Contest) -> int:
    """How many doubts there are at the contest's revision; counted once for each."""
    name = f"doubts-{contest.pk}"
    kept = cache.get(name)
    if kept is None or kept[0] != contest.revision:
        kept = (contest.revision, len(doubts_of(contest)))
        cache.set(name, kept, None)
    return kept[1]


def _card_doubts(contest: Contest) -> Iterable[Doubt]:
    judging = ClassDivision.objects.filter(
        judging_class=OuterRef("judging_class"), division=OuterRef("contestant__division")
    )
    doubtful = Card.objects.filter(
        judging_class=OuterRef("judging_class"), contestant=OuterRef("contestant"), state=State.DOUBT
    )
    judged = Exists(judging) & Q(judging_class__places=True)
    rows = (
        Reading.objects.filter(judging_class__contest=contest, withdrawn_at=None)
        .filter(Q(contestant=None) | ~judged | Exists(doubtful) | Q(contestant__present=False))
        .annotate(judged=Exists(judging), doubtful=Exists(doubtful))
        .select_related("judging_class", "contestant")
        .order_by("pk")
    )
    numbers = set(contest.contestants.values_list("number", flat=True))
    cards: defaultdict[tuple[int, int], list[Reading]] = defaultdict(list)
    for reading in rows:
        if reading.contestant is None:
            yield _unknown(reading, reading.number in numbers)
        elif not reading.judged or not reading.judging_class.places:
            yield _wrong_class(reading)
        else:
            cards[reading.judging_class_id, reading.contestant_id].append(reading)
    for readings in cards.values():
        doubt = _differing(readings) if readings[0].doubtful else _absent(readings)
        if doubt:
            yield doubt


def _unknown(reading: Reading, known_now: bool) -> Doubt:
    text = (
        f"Somebody has number {reading.number} by now. Move the reading there if it is theirs."
        if known_now
        else f"Nobody has number {reading.number}. Whose card is it?"
    )
    return _stray(reading, UNKNOWN, text)


def _wrong_class(reading: Reading) -> Doubt:
    judged = reading.judging_class
    text = (
        f"The division of {reading.number} does not judge class {judged.number}."
        if judged.places
        else f"Class {judged.number} is judged for its reasons only and has no cards."
    )
    return _stray(reading, WRONG_CLASS, text)


def _stray(reading: Reading, kind: str, text: str) -> Doubt:
    said = (_said(reading, 0, card_text(reading.placing), reading.placing),)
    return _card_doubt(reading, kind, text, said, reading.at, stray=True)


def _differing(readings: Sequence[Reading]) -> Doubt:
    decided = max((place for place, reading in enumerate(readings) if reading.decides), default=None)
    if decided is not None:
        kind, text = LATE, "A card was read that says something else than what was decided."
        news = readings[decided + 1 :]
    else:
        one_reader = len({reading.by.casefold() for reading in readings}) == 1
        kind = REPEATED if one_reader else DIFFERS
        text = (
            f"{readings[0].by} read two different cards of one contestant."
            if one_reader
            else "Look at the card: what does it say?"
        )
        news = [reading for reading in readings if reading.placing != readings[0].placing]
    said = tuple(_said(r, place, card_text(r.placing), r.placing) for place, r in enumerate(readings))
    since = (news or readings)[0].at
    return _card_doubt(readings[0], kind, text, said, since)


def _absent(readings: Sequence[Reading]) -> Doubt | None:
    """A card of somebody who is marked absent, unless the superintendent has already decided about it."""
    if any(reading.decides for reading in readings):
        return None
    cards = [reading for reading in readings if reading.placing != NO_CARD]
    if not cards:
        return None
    text = f"{cards[0].contestant} is marked absent, and there is a card."
    said = tuple(_said(r, place, card_text(r.placing), r.placing) for place, r in enumerate(readings))
    return _card_doubt(cards[0], ABSENT, text, said, cards[0].at)


def _card_doubt(reading: Reading, kind: str, text: str, said: tuple[Said, ...], since, stray=False) -> Doubt:
    judged = reading.judging_class
    place = card_place(judged.number, reading.number)
    return Doubt(
        about="card",
        kind=kind,
        place=place,
        key=f"reading-{reading.pk}" if stray else place.key,
        what=f"Class {judged.number}, contestant {reading.number}",
        text=text + (" The class is void: the card counts for nobody." if judged.void else ""),
        since=since,
        said=said,
        number=reading.number,
        class_number=judged.number,
        stray=stray,
        known=reading.contestant_id is not None,
    )


def _reasons_doubts(contest: Contest) -> Iterable[Doubt]:
    fields = ("judging_class_id", "contestant_id", "official_id")
    scores = ReasonsScore.objects.filter(OPEN, judging_class__contest=contest)
    scores = scores.select_related("judging_class", "contestant", "official")
    of_open = ReasonsScore.objects.filter(OPEN, **{name: OuterRef(name) for name in fields})
    readings = ReasonsReading.objects.filter(Exists(of_open), judging_class__contest=contest)
    for score, of_score in _with_readings(scores, readings, fields):
        judged, contestant = score.judging_class, score.contestant
        what = f"Reasons, class {judged.number}, contestant {contestant}, official {score.official}"
        place = reasons_place(judged, score.official, contestant)
        yield from _score_doubt("reasons", score, place, what, of_score, judged.number)


def _mark_doubts(contest: Contest) -> Iterable[Doubt]:
    marks = Mark.objects.filter(OPEN, part__contest=contest)
    marks = marks.select_related("part", "contestant", "team__division")
    of_the_same = Q(contestant=OuterRef("contestant")) | Q(team=OuterRef("team"))
    of_open = Mark.objects.filter(OPEN, of_the_same, part=OuterRef("part"))
    readings = MarkReading.objects.filter(Exists(of_open), part__contest=contest)
    for mark, of_mark in _with_readings(marks, readings, ("part_id", "contestant_id", "team_id")):
        whose = f"contestant {mark.contestant}" if mark.contestant else f"team {mark.team}, {mark.team.division}"
        place = mark_place(mark.part, mark.contestant or mark.team)
        yield from _score_doubt("mark", mark, place, f"{mark.part}, {whose}", of_mark)


def _with_readings(scores: Iterable[Any], readings: Any, fields: tuple[str, ...]) -> Iterable[tuple[Any, list[Any]]]:
    by_score = defaultdict(list)
    for reading in readings.filter(withdrawn_at=None).order_by("pk"):
        by_score[tuple(getattr(reading, name) for name in fields)].append(reading)
    for score in scores:
        yield score, by_score[tuple(getattr(score, name) for name in fields)]


def _score_doubt(
    about: str, score: Any, place: Place, what: str, readings: list[Any], class_number: int | None = None
) -> Iterable[Doubt]:
    """The doubt about a score: that its readings differ, or else that whoever has it is absent."""
    decided = any(reading.decides for reading in readings)
    first = readings[0]
    if score.state == State.DOUBT:
        one_reader = len({reading.by.casefold() for reading in readings}) == 1
        kind = LATE if decided else REPEATED if one_reader else DIFFERS
        text = OFFICIALS_OWN if any(getattr(r, "by_official", False) for r in readings) else LOOK_AT_THE_SLIP
        first = next((reading for reading in readings if reading.hundredths != first.hundredths), first)
    elif decided:
        return  # the superintendent has decided that it stays as it is
    else:
        kind, text = ABSENT, f"{score.contestant} is marked absent, and there is a score."
    yield Doubt(
        about=about,
        kind=kind,
        place=place,
        key=place.key,
        what=what,
        text=text,
        since=first.at,
        said=tuple(_said(r, place, in_words(r.hundredths), r.hundredths) for place, r in enumerate(readings)),
        number=score.contestant and score.contestant.number,
        class_number=class_number,
    )


def said_of(readings: Any, text: Callable[[Any], str]) -> list[Said]:
    """Every reading of a query, oldest first, each as a doubt would show it."""
    return [_said(reading, place, text(reading), None) for place, reading in enumerate(readings.order_by("pk"))]


def _said(reading: Any, place: int, text: str, value: Any) -> Said:
    letter, by_official = chr(ord("a") + place % 26), getattr(reading, "by_official", False)
    return Said(
        *(reading.pk, letter, value, text, reading.by, reading.at, reading.decides, reading.reason), by_official
    )


def card_text(placing: str) -> str:
    """What a card says, in words where it says no placing."""
    return {NO_CARD: "no card", UNREADABLE: "unreadable"}.get(placing, placing)

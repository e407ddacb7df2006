"""What a contest's book or a practice has for a season, before anybody said who of it is a member. It waits in a cache:
the names of all who were there are read, and only the coach's own members are kept."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import NamedTuple

from contest.book.plain import plain_lines, record_from_lines
from contest.models import Practice, PracticeClass, PracticePlacing
from contest.practice.showing import Step, score_of
from scoring.core.people import whole_name
from scoring.core.practice import set_points
from scoring.core.record import HUNDREDTHS, NO_CARD, UNREADABLE, JudgingClass, Record
from scoring.core.tally import tally
from scoring.models import SeasonSource

FEWEST = 6
"""Who must have placed a class before its mean is kept: of fewer it would tell what one of them did."""
LONGEST_NAME = 200


class Person(NamedTuple):
    number: int
    name: str
    team: str


class Did(NamedTuple):
    """What somebody did in a class: `points` of the placing, None where it is not placed; `reasons` in hundredths, None
    where none were due; `given`, whether any were."""

    placing: str = ""
    points: int | None = None
    reasons: int | None = None
    given: bool = False


@dataclass(frozen=True, slots=True)
class ArrivedClass:
    number: int
    name: str
    category: str
    animals: str
    perfect: int
    official: str
    cuts: tuple[int, ...]
    did: dict[int, Did]

    def placed(self) -> tuple[int, int]:
        """How many placed it so that it could be read, and their scores together; 0 and 0 where they were too few."""
        scores = [did.points for did in self.did.values() if did.placing and did.points is not None]
        return (len(scores), sum(scores)) if len(scores) >= FEWEST else (0, 0)

    def heard(self) -> tuple[int, int]:
        """The same of reasons, in hundredths."""
        points = [did.reasons for did in self.did.values() if did.given and did.reasons is not None]
        return (len(points), sum(points)) if len(points) >= FEWEST else (0, 0)


@dataclass(frozen=True, slots=True)
class Arrived:
    """`digest` is of all that was read of it."""

    kind: str
    name: str
    held_on: date | None
    digest: str
    people: tuple[Person, ...]
    classes: tuple[ArrivedClass, ...]


def from_book(lines: Iterable[object]) -> Arrived:
    """What a book has, of the lines that its reader made."""
    record = record_from_lines(lines)
    digest = hashlib.sha256(json.dumps(list(plain_lines(record)), default=str).encode()).hexdigest()
    people = tuple(
        Person(one.number, whole_name(one.first_name, one.last_name), one.team)
        for one in record.contestants
        if one.present
    )
    classes = tuple(made for judged in record.classes if (made := _class_of(record, judged, _points(record))))
    name = record.rules.name[:LONGEST_NAME]
    return Arrived(SeasonSource.Kind.CONTEST, name, record.rules.held_on, digest, people, classes)


def _points(record: Record) -> dict[str, dict[int, Fraction]]:
    """What each contestant earned, by item."""
    earned: dict[str, dict[int, Fraction]] = defaultdict(dict)
    for scores in tally(record).scores:
        earned[scores.item].update(zip(scores.numbers, scores.points, strict=True))
    return earned


def _class_of(record: Record, judged: JudgingClass, earned: dict[str, dict[int, Fraction]]) -> ArrivedClass | None:
    """None of a class that told nothing: void, full points for all, or not placed by the officials."""
    placed = earned.get(f"class:{judged.number}", {}) if judged.official and not judged.full_points else {}
    heard = earned.get(f"reasons:{judged.number}", {})
    if not placed and not heard:
        return None
    cards = {card.number: card.placing for card in record.cards if card.class_number == judged.number}
    given = {score.number for score in record.reasons if score.class_number == judged.number}
    did = {
        number: Did(
            placing=_readable(cards.get(number, NO_CARD)) if number in placed else "",
            points=int(placed[number]) if number in placed else None,
            reasons=round(heard[number] * HUNDREDTHS) if number in heard else None,
            given=number in given,
        )
        for number in placed.keys() | heard.keys()
    }
    category = next((one.name for one in record.categories if one.code == judged.category), "")
    official, cuts = (judged.official or "", judged.cuts or ()) if placed else ("", ())
    name = judged.name[:LONGEST_NAME]
    return ArrivedClass(judged.number, name, category, judged.animals, judged.perfect, official, tuple(cuts), did)


def _readable(placing: str) -> str:
    return "" if placing == UNREADABLE else placing


def _by_the_coach(judged: PracticeClass, weights: Sequence[int]) -> Iterator[tuple[int, int]]:
    """By member, what the coach gave for their set on a class, in hundredths of a point."""
    for said in judged.sets.all():
        for score in said.scores.all():
            if score.by_id is None:
                yield said.member_id, round(set_points(score.marks, weights) * HUNDREDTHS)


def from_practice(practice: Practice) -> Arrived:
    """What a practice has: its classes whose scores were shown, the placings that came in time, and what the coach gave
    for sets of reasons. What members gave each other is for them alone."""
    classes = []
    for judged in practice.classes.filter(step__gte=Step.SCORES).prefetch_related("placings", "sets__scores"):
        rows: Sequence[PracticePlacing] = [row for row in judged.placings.all() if not row.late]
        did = {row.member_id: Did(row.placing, score_of(judged, row.placing)) for row in rows}
        for member, points in _by_the_coach(judged, practice.weights):
            did[member] = did.get(member, Did())._replace(reasons=points, given=True)
        cuts = tuple(judged.cuts)
        classes.append(
            ArrivedClass(judged.number, judged.name, "", judged.animals, judged.perfect, judged.official, cuts, did)
        )
    people = tuple(Person(member.pk, member.name, "") for member in practice.members.all())
    name = practice.classes.all()[0].name
    digest = hashlib.sha256(f"practice {practice.pk} {practice.code}".encode()).hexdigest()
    return Arrived(
        SeasonSource.Kind.PRACTICE,
        name,
        practice.made_at.date(),
        digest,
        people,
        tuple(one for one in classes if one.did),
    )

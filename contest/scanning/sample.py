"""The checked sample: where the scanner reads alone, a part of its cards is read by a person too, who is not shown what
it read. What differs, and is decided against the scanner, asks for all cards of its class or part."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NamedTuple

from contest.changes.snapshot import one_snapshot
from contest.models import ChoiceReading, Contest, Reading, ScanRules, Source
from contest.scanning.rules import rules_of
from contest.slips.stack import MOST_AGAIN
from scoring.core import sampling
from scoring.core.record import NO_CARD

Of = int | str
"""What cards are of: a class by its number, or a part by its code."""
Heap = tuple[Of, str]
"""A class or part, and a division's code."""


class Alone(NamedTuple):
    """A card that the scanner read: whether a person read it too, and whether it was decided that the scanner was
    wrong."""

    checked: bool
    wrong: bool


@dataclass(frozen=True, slots=True)
class Sample:
    """How the check of a contest's cards stands. `cards` is how many the scanner read alone, `drawn` how many of them
    are in the sample, `checked` how many a person read too; `wrong` are those of the drawn where the scanner was.
    `left` are the numbers that somebody has still to read, by class or part, classes first, and `failed` those of which
    all are."""

    rules: ScanRules
    cards: int
    drawn: int
    checked: int
    wrong: int
    left: dict[Of, list[int]]
    failed: tuple[Of, ...]
    share: float

    @property
    def is_done(self) -> bool:
        return not self.left

    @property
    def still_wrong(self) -> int:
        """How many cards that nobody found may be wrong at most, at the confidence that the rules ask for."""
        if self.checked >= self.cards:
            return 0
        most = sampling.most_wrong(self.cards, self.share, self.wrong, Fraction(self.rules.confidence, 100))
        return max(0, most - self.wrong)


def asked_again(numbers: list[int]) -> str:
    """The numbers as the address of a desk has them, no more than it takes at once."""
    return "-".join(map(str, numbers[:MOST_AGAIN]))


@one_snapshot()
def sample_of(contest: Contest) -> Sample | None:
    """The sample of a contest; None where two readings must agree on every card, or the scanner read none."""
    if contest.readings_per_card > 1:
        return None
    heaps = _read_alone(contest)
    if not heaps:
        return None
    rules = rules_of(contest)
    numbers = {heap: list(cards) for heap, cards in heaps.items()}
    cards = sum(map(len, numbers.values()))
    share = sampling.share_to_read(cards, Fraction(rules.most_wrong, 1000), Fraction(rules.confidence, 100))
    chosen = sampling.drawn(numbers, share, rules.seed)
    failed = {of for (of, _), there in heaps.items() if any(card.wrong for card in there.values())}
    left: defaultdict[Of, list[int]] = defaultdict(list)
    for (of, division), there in sorted(heaps.items(), key=lambda heap: (_order(heap[0][0]), heap[0][1])):
        asked = set(there) if of in failed else chosen[of, division]
        left[of] += sorted(number for number in asked if not there[number].checked)
    return Sample(
        rules=rules,
        cards=cards,
        drawn=sum(map(len, chosen.values())),
        checked=sum(card.checked for there in heaps.values() for card in there.values()),
        wrong=sum(heaps[heap][number].wrong for heap, some in chosen.items() for number in some),
        left={of: some for of, some in left.items() if some},
        failed=tuple(sorted(failed, key=_order)),
        share=share,
    )


def _order(of: Of) -> tuple[bool, int, str]:
    """Classes by number, then parts."""
    return isinstance(of, str), of if isinstance(of, int) else 0, str(of)


def _read_alone(contest: Contest) -> dict[Heap, dict[int, Alone]]:
    """The cards that the scanner read, by heap and number, with what people made of each."""
    heaps: defaultdict[Heap, dict[int, Alone]] = defaultdict(dict)
    present = contest.contestants.values_list("pk", "division__code", "number")
    whose = {pk: (division, number) for pk, division, number in present}
    for of, (scanned, people) in _readings(contest):
        for contestant, said in scanned.items():
            division, number = whose[contestant]
            decided = [value for value, decides in people.get(contestant, ()) if decides]
            wrong = bool(decided and decided[-1] != said)
            heaps[of, division][number] = Alone(contestant in people, wrong)
    return dict(heaps)


class _Read(NamedTuple):
    """By the contestant's key: what the scanner read, and what people did and whether it decides, the first first."""

    scanned: dict[int, str]
    people: defaultdict[int, list[tuple[str, bool]]]


def _readings(contest: Contest) -> Iterable[tuple[Of, _Read]]:
    """What was read of each class and part. Tens of thousands of rows are without joins, as they are gone through
    whenever somebody looks; what people read is but asked for where the scanner read something."""
    classes, parts = (
        dict(rows.values_list("pk", name)) for rows, name in ((contest.classes, "number"), (contest.parts, "code"))
    )
    kinds: tuple[tuple[Any, str, str, dict[int, Of]], ...] = (
        (Reading, "judging_class", "placing", classes),
        (ChoiceReading, "part", "chosen", parts),
    )
    for model, of, says, names in kinds:
        read: defaultdict[int, _Read] = defaultdict(lambda: _Read({}, defaultdict(list)))
        rows = model.objects.filter(**{f"{of}__in": list(names), "withdrawn_at": None, "contestant__isnull": False})
        rows = rows.order_by("pk")
        for key, contestant, said in rows.filter(source=Source.SCANNER).values_list(of, "contestant", says):
            read[key].scanned[contestant] = said
        others = rows.exclude(source=Source.SCANNER).filter(**{f"{of}__in": list(read)})
        for key, contestant, said, decides in others.values_list(of, "contestant", says, "decides"):
            if said != NO_CARD or decides:
                read[key].people[contestant].append((said, decides))
        yield from ((names[key], found) for key, found in read.items())

"""The papers that readings are of, cards and slips: where each has its page, what was read of it, how it is decided."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet
from django.urls import reverse

from contest.models import Card, Contest, Contestant, JudgingClass, Part, Reading, ReasonsOfficial, Team
from contest.slips.marks import decide_mark, mark_slip
from contest.slips.reading import decide_card, judges, readings_of_card
from contest.slips.reasons import decide_reasons, reasons_slip
from contest.slips.score_reading import Slip, in_words
from contest.watch.doubts import Place, card_place, card_text, mark_place, reasons_place


@dataclass(frozen=True, slots=True)
class CardPaper:
    """The card of a number for a class; `contestant` is None where nobody has the number."""

    judged: JudgingClass
    number: int
    contestant: Contestant | None

    kind = "card"
    is_points = False

    @property
    def contest(self) -> Contest:
        return self.judged.contest

    @property
    def place(self) -> Place:
        return card_place(self.judged.number, self.number)

    @property
    def owner(self) -> str:
        return f"Contestant {self.number}"

    @property
    def of(self) -> str:
        return f"Class {self.judged.number}, {self.judged.name}"

    @property
    def of_address(self) -> str:
        return reverse("progress-class", args=[self.contest.pk, self.judged.number])

    @property
    def is_due(self) -> bool:
        """Whether there is to be a card, so that one can be decided."""
        return self.contestant is not None and judges(self.contestant, self.judged)

    @property
    def not_due(self) -> str:
        return "does not judge this class" if self.contestant else "Nobody has this number."

    def ever_read(self) -> QuerySet[Reading]:
        """Every reading there ever was, also under this number while nobody had it."""
        mine = Q(contestant=self.contestant) | Q(number=self.number) if self.contestant else Q(number=self.number)
        return self.judged.readings.filter(mine).order_by("pk")

    def live(self) -> QuerySet[Reading]:
        """The readings that it is decided by, oldest first."""
        return readings_of_card(self.judged, self.contestant).filter(contestant__isnull=False).order_by("pk")

    def counts(self) -> Card | None:
        """What its readings come to."""
        return Card.objects.filter(judging_class=self.judged, contestant=self.contestant).first()

    @staticmethod
    def value(row: Any) -> str:
        return row.placing

    @staticmethod
    def text(row: Any) -> str:
        return card_text(row.placing)

    def decide(self, counts: str, by: str, reason: str, on_card: str) -> None:
        assert self.contestant is not None
        decide_card(self.judged, self.contestant, counts, by, reason, on_card)


@dataclass(frozen=True, slots=True)
class ScorePaper:
    """A slip that gives a reasons score, where there is an `official`, or a mark of a `part`."""

    slip: Slip
    place: Place
    of: str
    of_address: str

    kind = "score"
    is_points = True

    @property
    def contest(self) -> Contest:
        return self.slip.contest

    @property
    def contestant(self) -> Contestant | None:
        return self.slip.about["contestant"]

    @property
    def owner(self) -> str:
        if self.contestant:
            return f"Contestant {self.contestant}"
        team = self.slip.about["team"]
        return f"Team {team}, {team.division}"

    @property
    def is_due(self) -> bool:
        owner, about = self.contestant or self.slip.about["team"], self.slip.about
        if "part" in about:
            return about["part"].divisions.filter(pk=owner.division_id).exists()
        of_class = about["judging_class"].class_divisions
        return of_class.filter(division=owner.division_id, gives_reasons=True).exists()

    @property
    def not_due(self) -> str:
        return "does not do this part" if "part" in self.slip.about else "gives no reasons on this class"

    def ever_read(self) -> QuerySet[Any]:
        return self.slip.ever_read()

    def live(self) -> QuerySet[Any]:
        return self.slip.read()

    def counts(self) -> Any:
        return self.slip.score()

    @staticmethod
    def value(row: Any) -> int | None:
        return row.hundredths

    @staticmethod
    def text(row: Any) -> str:
        return in_words(row.hundredths)

    def decide(self, counts: int | None, by: str, reason: str, _on_card: str) -> None:
        about = self.slip.about
        if "part" in about:
            decide_mark(about["part"], about["contestant"] or about["team"], counts, by, reason)
        else:
            decide_reasons(about["judging_class"], about["official"], about["contestant"], counts, by, reason)


Paper = CardPaper | ScorePaper


def reasons_paper(judged: JudgingClass, official: ReasonsOfficial, contestant: Contestant) -> ScorePaper:
    return ScorePaper(
        slip=reasons_slip(judged, official, contestant),
        place=reasons_place(judged, official, contestant),
        of=f"Reasons, class {judged.number}, official {official}",
        of_address=reverse("scores-class", args=[judged.contest_id, judged.number]),
    )


def mark_paper(part: Part, owner: Contestant | Team) -> ScorePaper:
    return ScorePaper(
        slip=mark_slip(part, owner),
        place=mark_place(part, owner),
        of=str(part),
        of_address=reverse("scores-part", args=[part.contest_id, part.code]),
    )


def address_of(contest: Contest, place: Place) -> str:
    """The page of a paper."""
    return reverse(place.name, args=[contest.pk, *place.args])


def decide_address_of(contest: Contest, place: Place) -> str:
    """Where a decision about a paper is sent."""
    return reverse(f"decide-{place.name}", args=[contest.pk, *place.args])


def letters(readings: Sequence[Any]) -> dict[int, str]:
    """The letters that pick the readings of a paper, by their keys."""
    return {reading.pk: chr(ord("a") + place) for place, reading in enumerate(readings[:26])}

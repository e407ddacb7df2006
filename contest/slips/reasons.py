"""Reasons scores: what an official gave a contestant for a set of reasons on a class."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.models import Contest, Contestant, JudgingClass, ReasonsOfficial, ReasonsReading, ReasonsScore
from contest.slips.points import PointsSlip, PointsStack, contestant_with
from contest.slips.slip import Place, class_of, contestant_of
from contest.trail import sentence
from contest.trail.sentences import Sentence
from scoring.core.points import figure
from scoring.core.record import MOST_REASONS


@dataclass(frozen=True)
class ReasonsSlip(PointsSlip):
    judging_class: JudgingClass
    official: ReasonsOfficial
    contestant: Contestant

    name = "reasons"
    readings = ReasonsReading
    results = ReasonsScore
    about = identified_by = ("judging_class", "official", "contestant")
    places = ("number", "class_number", "official")
    paths = {"reasons-score": "reasons/<int:class_number>/<int:official>/<int:number>/"}
    most = MOST_REASONS

    @classmethod
    def at(cls, contest: Contest, class_number: int, official: int, number: int) -> ReasonsSlip:  # type: ignore[override]  # the same
        return cls(
            get_object_or_404(contest.classes.select_related("contest"), number=class_number),
            get_object_or_404(contest.reasons_officials, pk=official),
            get_object_or_404(contest.contestants.select_related("division"), number=number),
        )

    def elsewhere(self, values: dict[str, Any]) -> ReasonsSlip:
        judged = class_of(self.contest, values["class_number"])
        return ReasonsSlip(judged, values["official"] or self.official, contestant_of(self.contest, values["number"]))

    @property
    def contest(self) -> Contest:
        return self.judging_class.contest

    @property
    def bounds(self) -> str:
        return _("a set of reasons is given 0 to {most} points").format(most=figure(self.most))

    def said(self, done: str) -> Sentence:
        number, judged = self.contestant.number, self.judging_class.number
        return sentence(f"reasons_{done}", contestant=number, judged=judged)

    @property
    def title(self) -> str:
        return _("Reasons, class {class_number}, contestant {number}, official {official}").format(
            class_number=self.judging_class.number, number=self.contestant, official=self.official
        )

    @property
    def of(self) -> str:
        number = self.judging_class.number
        return _("Reasons, class {number}, official {official}").format(number=number, official=self.official)

    @property
    def stack(self) -> ReasonsStack:
        return ReasonsStack(self.judging_class, self.official)

    @property
    def place(self) -> Place:
        return Place("reasons-score", (self.judging_class.number, self.official.pk, self.contestant.number))

    @property
    def listed(self) -> Place:
        return Place("scores-class", (self.judging_class.number,))

    def is_due(self) -> bool:
        of_class = self.judging_class.class_divisions
        return of_class.filter(division=self.contestant.division_id, gives_reasons=True).exists()

    not_due = gettext_lazy("gives no reasons on this class")

    def why_not_due(self) -> str:
        number, judged = self.contestant.number, self.judging_class.number
        return _("{number} gives no reasons on class {class_number}").format(number=number, class_number=judged)


@dataclass(frozen=True)
class ReasonsStack(PointsStack):
    """What one official gave on one class."""

    judging_class: JudgingClass
    official: ReasonsOfficial

    kind = ReasonsSlip
    most = MOST_REASONS
    low = MOST_REASONS // 5  # somebody who spoke at all is hardly ever given as little

    @property
    def name(self) -> str:
        return _("Class {number}, {name}").format(number=self.judging_class.number, name=self.official)

    @property
    def place(self) -> Place:
        return Place("scores-reasons-sheet", (self.judging_class.number, self.official.pk))

    @property
    def divisions(self) -> set[int]:
        giving = self.judging_class.class_divisions.filter(gives_reasons=True)
        return set(giving.values_list("division_id", flat=True))

    def not_due(self, number: int) -> str:
        text = _("{number} gives no reasons on class {class_number}, so there is no score to enter.")
        return text.format(number=number, class_number=self.judging_class.number)

    def slip(self, of: int) -> ReasonsSlip:
        return ReasonsSlip(self.judging_class, self.official, contestant_with(self.contest, of))

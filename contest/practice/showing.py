"""What a practice shows: to the group what its step allows, to each member their own, to the coach everything."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any

from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from contest.models import Practice, PracticeClass, PracticeMember, PracticePlacing
from contest.pair_notes import PairShown, pairs_shown
from contest.practice.notes import ROWS
from contest.practice.running import pair_notes_of
from scoring.core.class_picture import ClassPicture, class_picture
from scoring.core.explain import losses
from scoring.core.placing import ANIMALS, animals_of, cut_name, grid, score
from scoring.core.points import figure
from scoring.core.practice import PairSplit, Switch, best_switch, pair_splits, pair_table, switches, with_the_official

Step = PracticeClass.Step
HUNDREDTH = Fraction(1, 100)
LINES_OF_SCREEN = 7
"""Rows of a list that a screen in the room has space for, in letters that the back row can read."""


def rounded(points: Fraction) -> str:
    """Points to the hundredth."""
    return figure(round(points / HUNDREDTH) * HUNDREDTH)


@dataclass(frozen=True, slots=True)
class PairRow:
    """A neighbouring pair of the official placing, and how many put it so."""

    name: str
    above: str
    below: str
    kept: int
    cut: int


@dataclass(frozen=True, slots=True)
class GivenRow:
    """A placing that members gave, how many did, and, of `most` who gave any one, their share in per cent."""

    placing: str
    count: int
    share: int
    score: int | None
    losses: str
    best: Switch | None


@dataclass(frozen=True)
class ClassShown:
    """A class with what was handed in for it, late placings apart. What a page asks for more than once is kept."""

    judged: PracticeClass
    placings: Sequence[PracticePlacing]

    @property
    def step(self) -> int:
        return self.judged.step

    @cached_property
    def of_group(self) -> list[str]:
        return [row.placing for row in self.placings if not row.late]

    @property
    def splits(self) -> tuple[PairSplit, ...]:
        return pair_splits(self.judged.animals, self.of_group)

    @property
    def table(self) -> tuple[tuple[str, tuple[int | None, ...]], ...]:
        """Of more animals than four the pairs are too many to be read one after another."""
        animals = self.judged.animals
        return pair_table(animals, self.of_group) if len(animals) > len(ANIMALS) else ()

    @property
    def pairs(self) -> list[PairRow]:
        official, count = self.judged.official, len(self.judged.animals)
        kept = with_the_official(official, self.of_group)
        return [
            PairRow(capfirst(cut_name(place, count)), official[place], official[place + 1], kept[place], cut)
            for place, cut in enumerate(self.judged.cuts)
        ]

    @cached_property
    def given(self) -> list[GivenRow]:
        """The placings of the group; the best first once scores are shown, else the commonest."""
        counts = Counter(self.of_group)
        most = max(counts.values(), default=1)
        rows = [self._row(placing, count, round(100 * count / most)) for placing, count in counts.items()]
        return sorted(rows, key=lambda row: (-(row.score or 0), -row.count, row.placing))

    @property
    def given_first(self) -> list[GivenRow]:
        """As many of them as the screen in the room has lines for."""
        return self.given[:LINES_OF_SCREEN]

    @property
    def unshown(self) -> int:
        """How many more there are than that."""
        return max(len(self.given) - LINES_OF_SCREEN, 0)

    @property
    def to_switch(self) -> list[GivenRow]:
        """The placings that one switch would have made better."""
        return [row for row in self.given if row.best]

    @property
    def to_switch_first(self) -> list[GivenRow]:
        return self.to_switch[:LINES_OF_SCREEN]

    def _row(self, placing: str, count: int, share: int) -> GivenRow:
        judged = self.judged
        if self.step < Step.SCORES:
            return GivenRow(placing, count, share, None, "", None)
        points = score_of(judged, placing)
        best = best_switch(judged.official, judged.cuts, placing, judged.perfect)
        return GivenRow(placing, count, share, points, losses(judged.official, judged.cuts, placing), best)

    @property
    def picture(self) -> ClassPicture | None:
        """The class picture, of four animals; how dark a placing is tells its score, once scores are shown."""
        judged = self.judged
        if len(judged.animals) != len(ANIMALS) or self.step < Step.OFFICIAL:
            return None
        scored = self.step >= Step.SCORES
        points = grid(judged.official, judged.cuts, judged.perfect, animals_of(judged.official)) if scored else ()
        return class_picture(judged.official, dict(points), Counter(self.of_group))

    @property
    def reasons(self) -> tuple[PairShown, ...]:
        """What the official noted on each pair, once that is shown."""
        return self.pairs_noted if self.step >= Step.REASONS else ()

    @cached_property
    def pairs_noted(self) -> tuple[PairShown, ...]:
        return pairs_shown(pair_notes_of(self.judged), self.judged.official)

    @property
    def mean(self) -> str:
        scores = [score_of(self.judged, placing) for placing in self.of_group]
        return rounded(Fraction(sum(scores), len(scores)) if scores else Fraction(0))

    @property
    def would_gain(self) -> int:
        """How many of the group would have scored more by switching one pair."""
        return sum(row.count for row in self.given if row.best)

    @property
    def clock(self) -> int | None:
        """Seconds left to place the class, below 0 where they are over; None while nobody places it."""
        if self.step != Step.PLACING or self.judged.began_at is None:
            return None
        return 60 * self.judged.minutes - int((timezone.now() - self.judged.began_at).total_seconds())


def class_shown(judged: PracticeClass) -> ClassShown:
    return ClassShown(judged, list(judged.placings.select_related("member").order_by("member__pk")))


def score_of(judged: PracticeClass, placing: str) -> int:
    return score(judged.official, judged.cuts, placing, judged.perfect, judged.animals)


def current(practice: Practice) -> PracticeClass:
    """The class that is practised on now."""
    judged = practice.classes.get(number=practice.on)
    judged.practice = practice  # as it was asked for: its revision is the one that is shown
    return judged


@dataclass(frozen=True, slots=True)
class OwnShown:
    """A member's own placing of a class, and what it came to, as far as that is shown yet."""

    judged: PracticeClass
    row: PracticePlacing | None

    @property
    def is_scored(self) -> bool:
        return self.row is not None and self.judged.step >= Step.SCORES

    @property
    def score(self) -> int:
        return score_of(self.judged, self.placing)

    @property
    def placing(self) -> str:
        assert self.row is not None
        return self.row.placing

    @property
    def losses(self) -> str:
        return losses(self.judged.official, self.judged.cuts, self.placing)

    @property
    def switches(self) -> tuple[Switch, ...]:
        if not self.is_scored or self.judged.step < Step.SWITCHES:
            return ()
        return switches(self.judged.official, self.judged.cuts, self.placing, self.judged.perfect)


def own_classes(member: PracticeMember) -> list[OwnShown]:
    """The class that is on, then those that began before, the newest first, each with what the member handed in."""
    rows = {row.judging_class_id: row for row in member.placings.all()}
    now = current(member.practice)
    others = member.practice.classes.exclude(pk=now.pk).order_by("-number")
    before = [judged for judged in others if judged.step > Step.JOINING or judged.pk in rows]
    return [OwnShown(judged, rows.get(judged.pk)) for judged in (now, *before)]


@dataclass(frozen=True, slots=True)
class MemberRow:
    """A member as the coach sees them: what they handed in for the class that is on, and what it scored once that is
    shown; and their notes, where they handed them in."""

    member: PracticeMember
    row: PracticePlacing | None
    score: int | None
    notes: list[tuple[str, str]]


def member_rows(practice: Practice, shown: ClassShown) -> list[MemberRow]:
    rows = {row.member_id: row for row in shown.placings}
    made = []
    for member in practice.members.all():
        row = rows.get(member.pk)
        points = score_of(shown.judged, row.placing) if row and shown.step >= Step.SCORES else None
        made.append(MemberRow(member, row, points, _noted(row.notes) if row else []))
    return made


def _noted(notes: Mapping[str, Mapping[str, str]]) -> list[tuple[str, str]]:
    """What somebody noted, in lines: the animal with the row, and the text."""
    said = _("{animal}, {row}")
    return [
        (said.format(animal=animal, row=ROWS[row]), text)
        for animal in sorted(notes)
        for row, text in notes[animal].items()
    ]


class Coach:
    """What the coach's page shows."""

    def __init__(self, practice: Practice) -> None:
        self.practice = practice
        self.judged = current(practice)
        self.shown = class_shown(self.judged)

    @cached_property
    def members(self) -> list[MemberRow]:
        return member_rows(self.practice, self.shown)

    @cached_property
    def others(self) -> list[PracticeClass]:
        """The other classes, which the practice can go on with."""
        return list(self.practice.classes.exclude(pk=self.judged.pk))

    @property
    def waits(self) -> PracticeClass | None:
        """The next class that has not begun."""
        return next((judged for judged in self.others if judged.step == Step.JOINING), None)

    @property
    def handed_in(self) -> int:
        return len(self.shown.placings)

    @property
    def next_step(self) -> tuple[int, str] | None:
        """The step that comes next, and what going there is called."""
        step = self.judged.step + 1
        if step not in Step.values or (step == Step.REASONS and not any(pair.note for pair in self.shown.pairs_noted)):
            return None
        return step, NEXT[Step(step)]()

    @property
    def step_before(self) -> tuple[int, str] | None:
        step = self.judged.step - 1
        if step < Step.PLACING:
            return None
        return (step, _("Let them place again") if step == Step.PLACING else _("One step back"))

    @property
    def wants_key(self) -> bool:
        """Whether nothing more can be shown before the official placing is typed."""
        return not self.judged.official and self.judged.step == Step.GROUP


NEXT = {
    Step.PLACING: lambda: _("Start the clock"),
    Step.CLOSED: lambda: _("Close the class"),
    Step.GROUP: lambda: _("Show what the group did"),
    Step.OFFICIAL: lambda: _("Show the official placing"),
    Step.CUTS: lambda: _("Show the cuts"),
    Step.SCORES: lambda: _("Show the scores"),
    Step.SWITCHES: lambda: _("Show what one switch would have changed"),
    Step.REASONS: lambda: _("Show the official’s reasons"),
}


def version_of(practice: Practice) -> str:
    """What a live part is known by."""
    return str(practice.revision)


def shown_to_group(practice: Practice, shown: ClassShown) -> dict[str, Any]:
    """What the screen in the room shows: no names, and nothing that the step does not allow."""
    return {
        "practice": practice,
        "judged": shown.judged,
        "shown": shown,
        "joined": practice.members.count(),
        "step": Step,
        "version": version_of(practice),
    }

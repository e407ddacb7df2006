"""What each setting does, on a small made-up case that the scoring itself works out: no figure here is written down.

The cards, cuts and points of the cases are invented; what they come to is computed as at a contest.
"""

from __future__ import annotations

from dataclasses import dataclass

from scoring.core.people import shown_name
from scoring.core.placing import ANIMALS
from scoring.core.points import figure, figure_of_hundredths
from scoring.core.record import (
    HUNDREDTHS,
    UNREADABLE,
    Card,
    Category,
    Contestant,
    Division,
    JudgingClass,
    Mark,
    Part,
    ReasonsScore,
    Record,
    Rules,
    ShowPeopleAs,
)
from scoring.core.result import OVERALL, REASONS, IndividualRow, Standing, TeamRow
from scoring.core.standardising import LEAST_SETS, standardised
from scoring.core.tally import class_table, tally
from scoring.core.texts import gettext as _
from scoring.core.texts import pgettext

WIDE_CUTS = (3, 9, 3)  # so wide that a full reversal falls below 0
USUAL_CUTS = (3, 5, 2)
REVERSED = ANIMALS[::-1]
DIVISION, CATEGORY, CLASS = "X", "C", 1
MOST_SHOWN = 9
"""The largest number of counting members that the example of a team is shown for."""


def people_shown() -> dict[ShowPeopleAs, str]:
    """How a contestant is called where others can see it, by setting."""
    contestant = Contestant(117, DIVISION, first_name="Wren", last_name="Ashdown")
    settings: tuple[ShowPeopleAs, ...] = ("number", "initials", "name")
    return {shown: f"{contestant.number} {shown_name(contestant, shown)}".strip() for shown in settings}


def negative_scores() -> dict[str, str]:
    """What a card below 0 counts as, by setting."""
    cuts = "-".join(map(str, WIDE_CUTS))
    loss = _class(WIDE_CUTS).perfect - _table(WIDE_CUTS, Rules("", negative_scores="keep"))[REVERSED]
    told = _("With cuts {cuts}, a card in the full reverse order loses {loss} of {perfect} and counts as {score}.")
    scores = {
        setting: figure(_table(WIDE_CUTS, Rules("", negative_scores=setting))[REVERSED]) for setting in ("keep", "zero")
    }
    perfect = _class(WIDE_CUTS).perfect
    return {
        setting: told.format(cuts=cuts, loss=loss, perfect=perfect, score=score) for setting, score in scores.items()
    }


def unreadable_card() -> dict[str, str]:
    """What a card that cannot be read earns, by setting."""
    cuts = "-".join(map(str, USUAL_CUTS))
    worst = _table(USUAL_CUTS, Rules(""))[REVERSED]
    told = _("In a class with cuts {cuts}, where the worst card earns {worst}, an unreadable one earns {score}.")
    return {
        setting: told.format(
            cuts=cuts, worst=worst, score=_table(USUAL_CUTS, Rules("", unreadable_card=setting))[UNREADABLE]
        )
        for setting in ("zero", "lowest")
    }


def reasons_in_category() -> dict[bool, str]:
    """What a contestant has in the list of a category, by setting."""
    judged = JudgingClass(
        CLASS, "", (DIVISION,), category=CATEGORY, reasons=(DIVISION,), official=ANIMALS, cuts=USUAL_CUTS
    )
    placing = _table(USUAL_CUTS, Rules(""))["1243"]
    reasons = 42

    def in_category(counts: bool) -> str:
        result = tally(
            Record(
                Rules("", reasons_in_category=counts),
                divisions=(Division(DIVISION, "", 0),),
                categories=(Category(CATEGORY, ""),),
                classes=(judged,),
                contestants=(Contestant(1, DIVISION),),
                cards=(Card(CLASS, 1, "1243"),),
                reasons=(ReasonsScore(CLASS, 1, "A", reasons * HUNDREDTHS),),
            )
        )
        return figure(_list(result.standings, CATEGORY).individuals[0].total)

    counts = _("A card of {placing} and reasons of {reasons} in a class give {points} in the list of its category.")
    does_not = _(
        "A card of {placing} and reasons of {reasons} in a class give {points} in the list of its category; "
        "the reasons still count overall."
    )
    return {
        True: counts.format(placing=placing, reasons=reasons, points=in_category(True)),
        False: does_not.format(placing=placing, reasons=reasons, points=in_category(False)),
    }


def reasons_standardised() -> dict[bool, str]:
    """What two sets of reasons count for, one with a strict and one with a mild official, by setting."""
    strict, mild = range(31, 39), range(41, 49)  # LEAST_SETS each
    scores = [("A", points) for points in strict] + [("B", points) for points in mild]
    record = Record(
        Rules(""),
        contestants=tuple(Contestant(number, DIVISION) for number in range(len(scores))),
        reasons=tuple(
            ReasonsScore(CLASS, number, official, points * HUNDREDTHS)
            for number, (official, points) in enumerate(scores)
        ),
    )
    counts = [figure_of_hundredths(score.hundredths) for score in standardised(record)]
    given = {
        "sets": LEAST_SETS,
        "strict_least": strict[0],
        "strict_most": strict[-1],
        "mild_least": mild[0],
        "mild_most": mild[-1],
    }
    as_given = _(
        "One official gave {sets} sets {strict_least} to {strict_most}, another {mild_least} to {mild_most}: "
        "the best of each has {first} and {last}."
    )
    brought = _(
        "One official gave {sets} sets {strict_least} to {strict_most}, another {mild_least} to {mild_most}: "
        "the best of each has {first} and {last}. The scores as given stay beside them, and every list says so. "
        "Of an official who heard fewer than {sets} sets they count as given."
    )
    return {
        False: as_given.format(**given, first=strict[-1], last=mild[-1]),
        True: brought.format(**given, first=counts[len(strict) - 1], last=counts[-1]),
    }


def perfect_score(perfect: int) -> str:
    """What a perfect score means for a usual key."""
    judged = _class(USUAL_CUTS, perfect)
    table = class_table(judged, Rules("", negative_scores="keep"))
    cuts = "-".join(map(str, USUAL_CUTS))
    best, worst = table[ANIMALS], figure(table[REVERSED])
    told = _("With cuts {cuts}, the official placing earns {best} and the full reversal {worst}.")
    return told.format(cuts=cuts, best=best, worst=worst)


@dataclass(frozen=True, slots=True)
class Member:
    number: int
    overall: str
    reasons: str
    counts: bool
    counts_by_reasons: bool


@dataclass(frozen=True, slots=True)
class TeamExample:
    """A team of one more than count, and a short team of one fewer, under every setting."""

    counting: int
    members: tuple[Member, ...]
    overall: str
    reasons: dict[str, str]
    short_size: int
    short: dict[str, str]


def team_example(team_counting: int) -> TeamExample | None:
    """What a division's team rules come to; None for more counting members than can be shown."""
    if not 0 <= team_counting <= MOST_SHOWN:
        return None
    fixed = _team_standings(team_counting, counting_members="fixed")
    each = _team_standings(team_counting, counting_members="each")
    overall, by_reasons = _list(fixed, OVERALL), _list(each, REASONS)
    points = {row.number: row.total for row in _list(fixed, REASONS).individuals}
    counting = _team(overall).counting
    members = tuple(
        Member(
            row.number,
            figure(row.total),
            figure(points[row.number]),
            row.number in counting,
            row.number in _team(by_reasons).counting,
        )
        for row in sorted(overall.individuals, key=_number)
    )
    short_size = max(team_counting - 1, 0)
    return TeamExample(
        counting=team_counting,
        members=members,
        overall=figure(_team(overall).total),
        reasons={
            "fixed": figure(_team(_list(fixed, REASONS)).total),
            "each": figure(_team(by_reasons).total),
        },
        short_size=short_size,
        short={rule: _short(team_counting, short_size, rule) for rule in ("zero", "unranked")} if short_size else {},
    )


def _short(counting: int, size: int, rule: str) -> str:
    teams = _list(_team_standings(counting, size, short_team=rule), OVERALL).teams
    if not teams:
        return pgettext("a team", "not ranked")
    return _("ranked with {points}").format(points=figure(teams[0].total))


def _team_standings(counting: int, size: int = 0, **rules: str) -> tuple[Standing, ...]:
    """The standings of one team; whoever is last overall is the best in reasons, so that the settings differ."""
    size = size or (counting + 1 if counting else 4)
    numbers = range(1, size + 1)
    reasons = {number: 38 + 2 * (number % 2) + (6 if number == size else 0) for number in numbers}
    rest = {number: 150 - 10 * number for number in numbers}
    record = Record(
        Rules(""),
        divisions=(Division(DIVISION, "", counting, **rules),),  # type: ignore[arg-type]  # rules of the record, as text
        classes=(JudgingClass(CLASS, "", (DIVISION,), places=False, reasons=(DIVISION,)),),
        parts=(Part("P", "", (DIVISION,), 200, "individual"),),
        contestants=tuple(Contestant(number, DIVISION, "T") for number in numbers),
        reasons=tuple(ReasonsScore(CLASS, number, "A", reasons[number] * HUNDREDTHS) for number in numbers),
        marks=tuple(Mark("P", rest[number] * HUNDREDTHS, number=number) for number in numbers),
    )
    return tally(record).standings


def _number(row: IndividualRow) -> int:
    return row.number


def _team(standing: Standing) -> TeamRow:
    return standing.teams[0]


def _list(standings: tuple[Standing, ...], code: str) -> Standing:
    return next(standing for standing in standings if standing.code == code)


def _class(cuts: tuple[int, int, int], perfect: int = 50) -> JudgingClass:
    return JudgingClass(CLASS, "", (DIVISION,), perfect=perfect, official=ANIMALS, cuts=cuts)


def _table(cuts: tuple[int, int, int], rules: Rules) -> dict[str, int]:
    return class_table(_class(cuts), rules)

"""From a total down to what made it: one contestant's scores class by class, and one team's member by member.

Pure: made from a record and its result, live or as they were announced.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from scoring.due import Unsettled
from scoring.explain import figure, how_ties_fell, list_names, pairs_lost
from scoring.people import shown_name
from scoring.placing import is_placing
from scoring.record import HUNDREDTHS, UNREADABLE, Contestant, JudgingClass, ReasonsScore, Record
from scoring.result import Result, Standing
from scoring.standardising import counting_reasons

WAITS = "waits for its key"
VOID = "void, counts for nobody"


@dataclass(frozen=True, slots=True)
class ClassLine:
    """A contestant's card in one class. `card` is the placing or, in words, why there is none; `score` is empty for a
    class that does not count, and `state` says why. `lost` are the pairs in words; `open` says what is not settled."""

    number: int
    name: str
    card: str
    placed: bool
    official: str
    cuts: tuple[int, int, int] | None
    score: str
    perfect: int
    lost: tuple[str, ...]
    state: str
    open: str


@dataclass(frozen=True, slots=True)
class ReasonsLine:
    """A set of reasons: each official with what they gave and, where reasons are standardised, what that counts as;
    and the mean that counts."""

    number: int
    name: str
    given: tuple[tuple[str, str, str], ...]
    score: str
    state: str
    open: str


@dataclass(frozen=True, slots=True)
class MarkLine:
    name: str
    score: str
    most: int
    open: str


@dataclass(frozen=True, slots=True)
class RankLine:
    """A place in one list: `rank` of `of`, and how a tie fell."""

    code: str
    name: str
    rank: int
    of: int
    total: str
    tie: str


@dataclass(frozen=True, slots=True)
class ContestantSheet:
    number: int
    name: str
    team: str
    division: str
    division_name: str
    present: bool
    classes: tuple[ClassLine, ...]
    reasons: tuple[ReasonsLine, ...]
    marks: tuple[MarkLine, ...]
    ranks: tuple[RankLine, ...]


@dataclass(frozen=True, slots=True)
class MemberHead:
    """A member of a team, and whether they count overall."""

    number: int
    name: str
    counts: bool


@dataclass(frozen=True, slots=True)
class TeamLine:
    """One item of a team: each member's points in step with the members, empty where an item is the team's own."""

    name: str
    points: tuple[str, ...]
    team: str
    total: bool = False


@dataclass(frozen=True, slots=True)
class TeamRank:
    """A team's place in one list, with who counts there and who does not."""

    code: str
    name: str
    rank: int
    of: int
    total: str
    counting: tuple[int, ...]
    others: tuple[int, ...]
    tie: str


@dataclass(frozen=True, slots=True)
class TeamSheet:
    team: str
    division: str
    division_name: str
    members: tuple[MemberHead, ...]
    lines: tuple[TeamLine, ...]
    ranks: tuple[TeamRank, ...]
    gives_reasons: bool


class Sheets:
    """Makes the sheets of a contest; what several of them need is worked out once.

    `unsettled` says what of it may still change; nothing once it was announced.
    """

    def __init__(self, record: Record, result: Result, unsettled: Unsettled | None = None) -> None:
        self._record, self._result = record, result
        self._unsettled = unsettled or Unsettled()
        self._people = {contestant.number: contestant for contestant in record.contestants}
        self._divisions = {division.code: division.name for division in record.divisions}
        self._cards = {(card.class_number, card.number): card.placing for card in record.cards}
        self._given: dict[tuple[int, int], list[tuple[str, str, str]]] = {}
        for score, counts in zip(record.reasons, counting_reasons(record), strict=True):
            instead = _points(counts) if record.rules.reasons_standardised else ""
            line = score.official, _points(score), instead
            self._given.setdefault((score.class_number, score.number), []).append(line)
        self._points: dict[tuple[str, int], Fraction] = {}
        for scores in result.scores:
            self._points.update(
                ((scores.item, number), points) for number, points in zip(scores.numbers, scores.points, strict=True)
            )
        self._team_points: dict[tuple[str, str, str], Fraction] = {}
        for of_teams in result.team_scores:
            for team, points in zip(of_teams.teams, of_teams.points, strict=True):
                self._team_points[of_teams.item, of_teams.division, team] = points
        self._fallen: dict[tuple[str, str], tuple[list[str], list[str]]] = {}

    def contestant(self, number: int) -> ContestantSheet | None:
        """A contestant's sheet; None where nobody has the number."""
        person = self._people.get(number)
        if person is None:
            return None
        record = self._record
        return ContestantSheet(
            number=number,
            name=shown_name(person, record.rules.show_people_as),
            team=person.team,
            division=person.division,
            division_name=self._divisions[person.division],
            present=person.present,
            classes=tuple(
                self._class(judged, number)
                for judged in record.classes
                if judged.places and person.division in judged.divisions
            ),
            reasons=tuple(
                self._reasons(judged, number) for judged in record.classes if person.division in judged.reasons
            ),
            marks=tuple(
                MarkLine(part.name, self._shown(item, number), part.most, self._unsettled.of(number, item))
                for part in record.parts
                for item in [f"part:{part.code}"]
                if part.scope == "individual" and person.division in part.divisions
            ),
            ranks=tuple(self._ranks(person)),
        )

    def team(self, division: str, team: str) -> TeamSheet | None:
        """A team's sheet; None where nobody is in it."""
        members = sorted(
            (c for c in self._record.contestants if (c.division, c.team) == (division, team) and c.present),
            key=lambda c: c.number,
        )
        if not team or not members:
            return None
        ranks = tuple(self._team_ranks(division, team, [c.number for c in members]))
        counting = ranks[0].counting if ranks else ()
        show_as = self._record.rules.show_people_as
        return TeamSheet(
            team=team,
            division=division,
            division_name=self._divisions[division],
            members=tuple(MemberHead(c.number, shown_name(c, show_as), c.number in counting) for c in members),
            lines=tuple(self._team_lines(division, team, [c.number for c in members])),
            ranks=ranks,
            gives_reasons=any(division in judged.reasons for judged in self._record.classes),
        )

    def _class(self, judged: JudgingClass, number: int) -> ClassLine:
        placing = self._cards.get((judged.number, number))
        placed = placing is not None and is_placing(placing)
        words = "unreadable card" if placing == UNREADABLE else "no card"
        lost: tuple[str, ...] = ()
        if placing and placed and judged.official and judged.cuts:
            lost = tuple(pairs_lost(judged.official, judged.cuts, placing))
        item = f"class:{judged.number}"
        return ClassLine(
            number=judged.number,
            name=judged.name,
            card=placing if placing and placed else words,
            placed=placed,
            official=judged.official or "",
            cuts=judged.cuts,
            score=self._shown(item, number),
            perfect=judged.perfect,
            lost=lost,
            state=VOID if judged.void else "" if judged.official else WAITS,
            open=self._unsettled.of(number, item),
        )

    def _reasons(self, judged: JudgingClass, number: int) -> ReasonsLine:
        item = f"reasons:{judged.number}"
        return ReasonsLine(
            judged.number,
            judged.name,
            tuple(sorted(self._given.get((judged.number, number), ()))),
            self._shown(item, number),
            VOID if judged.void else "" if judged.counts_reasons else WAITS,
            self._unsettled.of(number, item),
        )

    def _shown(self, item: str, number: int) -> str:
        points = self._points.get((item, number))
        return "" if points is None else figure(points)

    def _ranks(self, person: Contestant) -> list[RankLine]:
        names = list_names(self._record)
        found = []
        for standing in self._result.standings:
            if standing.division == person.division:
                for row, tie in zip(standing.individuals, self._ties(standing)[0], strict=True):
                    if row.number == person.number:
                        of = len(standing.individuals)
                        found.append(
                            RankLine(standing.code, names[standing.code], row.rank, of, figure(row.total), tie)
                        )
        return found

    def _team_ranks(self, division: str, team: str, members: list[int]) -> list[TeamRank]:
        names = list_names(self._record)
        found = []
        for standing in self._result.standings:
            if standing.division == division:
                for row, tie in zip(standing.teams, self._ties(standing)[1], strict=True):
                    if row.team == team:
                        others = tuple(number for number in members if number not in row.counting)
                        found.append(
                            TeamRank(
                                standing.code,
                                names[standing.code],
                                row.rank,
                                len(standing.teams),
                                figure(row.total),
                                row.counting,
                                others,
                                tie,
                            )
                        )
        return found

    def _ties(self, standing: Standing) -> tuple[list[str], list[str]]:
        key = standing.division, standing.code
        if key not in self._fallen:
            self._fallen[key] = how_ties_fell(self._record, self._result, standing)
        return self._fallen[key]

    def _team_lines(self, division: str, team: str, members: list[int]) -> list[TeamLine]:
        classes = {judged.number: judged.name for judged in self._record.classes}
        parts = {part.code: part.name for part in self._record.parts}
        lines = []
        for scores in self._result.scores:
            if scores.division == division:
                kind, _, code = scores.item.partition(":")
                name = parts[code] if kind == "part" else f"Class {code}, {classes[int(code)]}"
                name = f"Reasons, class {code}" if kind == "reasons" else name
                lines.append(TeamLine(name, tuple(self._shown(scores.item, number) for number in members), ""))
        for of_teams in self._result.team_scores:
            if of_teams.division == division:
                name = parts[of_teams.item.partition(":")[2]]
                points = self._team_points.get((of_teams.item, division, team), Fraction(0))
                lines.append(TeamLine(name, (), figure(points)))
        overall = next(s for s in self._result.standings if s.division == division)
        totals = {row.number: figure(row.total) for row in overall.individuals}
        whole = next((figure(row.total) for row in overall.teams if row.team == team), "")
        lines.append(TeamLine("Total", tuple(totals.get(number, "") for number in members), whole, total=True))
        return lines


def _points(score: ReasonsScore) -> str:
    return figure(Fraction(score.hundredths, HUNDREDTHS))

"""From a total down to what made it: one contestant's scores class by class, and one team's member by member.

Pure: made from a record and its result, live or as they were announced.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction

from scoring.core.due import Unsettled
from scoring.core.explain import how_ties_fell, name_of_list, pairs_lost
from scoring.core.items import items_of
from scoring.core.keeping import choice_told
from scoring.core.people import shown_name
from scoring.core.placing import is_placing
from scoring.core.placing import score as points_of
from scoring.core.points import figure
from scoring.core.record import HUNDREDTHS, NO_CARD, UNREADABLE, Contestant, JudgingClass, ReasonsScore, Record
from scoring.core.result import IndividualRow, Result, Standing, TeamRow
from scoring.core.sets import plain_division
from scoring.core.standardising import counting_reasons, is_standardising, too_few_sets
from scoring.core.step_values import DivisionValues
from scoring.core.tally import least_reasons
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop
from scoring.standings.listing import keys_in_words, open_in_words
from scoring.standings.sheet_lines import (
    Cell,
    ClassLine,
    ContestantSheet,
    MarkLine,
    MemberHead,
    RankLine,
    ReasonsLine,
    TeamLine,
    TeamRank,
    TeamSheet,
)

WAITS = gettext_noop("waits for its key")
VOID = gettext_noop("void, counts for nobody")
FULL = gettext_noop("not fairly judged: full points for everybody")


@dataclass(frozen=True, slots=True)
class _Placed:
    """The rows of one list by whose they are, and the ties in words that were asked for so far."""

    individuals: dict[int, IndividualRow]
    teams: dict[str, TeamRow]
    fallen: dict[Fraction, dict[int | str, str]] = field(default_factory=dict)

    @classmethod
    def of(cls, standing: Standing) -> _Placed:
        everybody = (*standing.individuals, *standing.apart)
        return cls({row.number: row for row in everybody}, {row.team: row for row in standing.teams})


class Sheets:
    """Makes the sheets of a contest; what several of them need is worked out once.

    `unsettled` says what of it may still change; nothing once it was announced.
    """

    def __init__(self, record: Record, result: Result, unsettled: Unsettled | None = None) -> None:
        self._record, self._result = record, result
        self._standardised, self._as_given = is_standardising(record), too_few_sets(record)
        self._unsettled = unsettled or Unsettled()
        self._people = {contestant.number: contestant for contestant in record.contestants}
        self._divisions = record.division_names
        self._least = least_reasons(record)
        self._kept = {(choice.part, choice.number): choice.kept for choice in record.choices}
        self._cards = {(card.class_number, card.number): card.placing for card in record.cards}
        self._given: dict[tuple[int, int], list[tuple[ReasonsScore, ReasonsScore]]] = {}
        for score, counts in zip(record.reasons, counting_reasons(record), strict=True):
            self._given.setdefault((score.class_number, score.number), []).append((score, counts))
        self._points: dict[tuple[str, int], Fraction] = {}
        for scores in result.scores:
            self._points.update(
                ((scores.item, number), points) for number, points in zip(scores.numbers, scores.points, strict=True)
            )
        self._team_points: dict[tuple[str, str, str], Fraction] = {}
        for of_teams in result.team_scores:
            for team, points in zip(of_teams.teams, of_teams.points, strict=True):
                self._team_points[of_teams.item, of_teams.division, team] = points
        self._placed: dict[tuple[str, str], _Placed] = {}
        self._values: dict[str, DivisionValues] = {}
        self._items_of: dict[tuple[str, str], set[str]] = {}

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
            standardised=self._standardised,
            classes=tuple(
                self._class(judged, person)
                for judged in record.classes
                if judged.places and person.division in judged.divisions
            ),
            reasons=tuple(
                self._reasons(judged, person) for judged in record.classes if person.division in judged.reasons
            ),
            marks=tuple(
                MarkLine(
                    *(part.code, part.name, self._shown(item, number), part.most, self._unsettled.of(number, item)),
                    told=tuple(choice_told(part, self._kept.get((part.code, number), NO_CARD))) if part.animals else (),
                )
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
            standardised=self._standardised and any(division in judged.reasons for judged in self._record.classes),
        )

    def _class(self, judged: JudgingClass, person: Contestant) -> ClassLine:
        number, void = person.number, judged.is_void_for(person.division)
        full = judged.full_points and not void
        placing = self._cards.get((judged.number, number))
        placed = placing is not None and is_placing(placing, judged.animals)
        words = _("unreadable card") if placing == UNREADABLE else _("no card")
        lost: tuple[str, ...] = ()
        if placing and placed and judged.official and judged.cuts and not void and not full:
            lost = tuple(pairs_lost(judged.official, judged.cuts, placing))
        item = f"class:{judged.number}"
        score = self._shown(item, number)
        return ClassLine(
            number=judged.number,
            name=judged.name,
            card=placing if placing and placed else words,
            placed=placed,
            official=judged.official or "",
            cuts=None if void or full else judged.cuts,
            score=score,
            perfect=judged.perfect,
            lost=lost,
            rule=self._rule(judged, placing) if score and not full else "",
            state=_(VOID) if void else _(FULL) if full else "" if judged.official else _(WAITS),
            open=self._unsettled.of(number, item),
        )

    def _rule(self, judged: JudgingClass, placing: str | None) -> str:
        """The rule by which a score is not simply what the lost pairs leave of the perfect one."""
        rules = self._record.rules
        if placing == UNREADABLE:
            return _("earns the lowest score of the class") if rules.unreadable_card == "lowest" else ""
        if not placing or rules.negative_scores == "keep" or not judged.official or not judged.cuts:
            return ""
        below = points_of(judged.official, judged.cuts, placing, judged.perfect) < 0
        return _("below 0 counts as 0") if below else ""

    def _reasons(self, judged: JudgingClass, person: Contestant) -> ReasonsLine:
        number, void = person.number, judged.is_void_for(person.division)
        item = f"reasons:{judged.number}"
        return ReasonsLine(
            judged.number,
            judged.name,
            tuple(sorted(self._in_words(self._given.get((judged.number, number), ())))),
            self._shown(item, number),
            _(VOID) if void else "" if judged.counts_reasons else _(WAITS),
            self._unsettled.of(number, item),
        )

    def _shown(self, item: str, number: int) -> str:
        points = self._points.get((item, number))
        return "" if points is None else figure(points)

    def _ranks(self, person: Contestant) -> list[RankLine]:
        ranks = []
        for standing, placed in self._lists_of(person.division):
            row = placed.individuals.get(person.number)
            if row:
                tie = self._tie(standing, placed, row)
                of = len(standing.individuals)
                team = placed.teams.get(row.team)
                counts = row.number in team.counting if team else None
                may_change = self._open(standing, [person.number])
                name, total = name_of_list(self._record, standing), figure(row.total)
                of_list = standing.division, standing.code
                ranks.append(RankLine(*of_list, name, row.rank, of, total, tie, counts, may_change))
        return ranks

    def _team_ranks(self, division: str, team: str, members: list[int]) -> list[TeamRank]:
        ranks = []
        for standing, placed in self._lists_of(division):
            row = placed.teams.get(team)
            there = [number for number in members if number in placed.individuals or not self._record.sets]
            if row:
                ranks.append(
                    TeamRank(
                        standing.division,
                        standing.code,
                        name_of_list(self._record, standing),
                        row.rank,
                        len(standing.teams),
                        figure(row.total),
                        row.counting,
                        tuple(number for number in there if number not in row.counting),
                        self._tie(standing, placed, row),
                        self._open(standing, members, team),
                    )
                )
        return ranks

    def _open(self, standing: Standing, members: list[int], team: str = "") -> str:
        """What of the total of a member, or of a whole team with its own marks, may still change in a list."""
        key = standing.division, standing.code
        items = self._items_of.setdefault(key, items_of(self._record, *key))
        division = plain_division(standing.division)
        open_items = [item for number in members for item in items if (number, item) in self._unsettled.items]
        open_items += [item for item in items if (division, team, item) in self._unsettled.team_items]
        keys = [number for number in self._unsettled.keys if f"class:{number}" in items]
        return "; ".join(filter(None, (open_in_words(open_items), keys_in_words(keys))))

    def _lists_of(self, division: str) -> Iterator[tuple[Standing, _Placed]]:
        for standing in self._result.standings:
            if plain_division(standing.division) == division:
                key = standing.division, standing.code
                if key not in self._placed:
                    self._placed[key] = _Placed.of(standing)
                yield standing, self._placed[key]

    def _tie(self, standing: Standing, placed: _Placed, row: IndividualRow | TeamRow) -> str:
        """How a tie fell, worked out for the rows of that total alone and for each total once."""
        if not row.tie:
            return ""
        if row.total not in placed.fallen:
            if standing.division not in self._values:
                self._values[standing.division] = DivisionValues(self._record, self._result, standing.division)
            people = tuple(peer for peer in standing.individuals if peer.total == row.total)
            teams = tuple(peer for peer in standing.teams if peer.total == row.total)
            level = replace(standing, individuals=people, teams=teams)
            said, teams_said = how_ties_fell(self._record, self._result, level, self._values[standing.division])
            names: list[int | str] = [*(peer.number for peer in people), *(peer.team for peer in teams)]
            placed.fallen[row.total] = dict(zip(names, [*said, *teams_said], strict=True))
        return placed.fallen[row.total][row.team if isinstance(row, TeamRow) else row.number]

    def _team_lines(self, division: str, team: str, members: list[int]) -> list[TeamLine]:
        classes = {judged.number: judged.name for judged in self._record.classes}
        parts = {part.code: part.name for part in self._record.parts}
        lines = []
        for scores in self._result.scores:
            if scores.division == division:
                kind, _colon, code = scores.item.partition(":")
                if kind == "part":
                    name = parts[code]
                elif kind == "reasons":
                    name = _("Reasons, class {number}").format(number=code)
                else:
                    name = _("Class {number}, {name}").format(number=code, name=classes[int(code)])
                lines.append(TeamLine(name, tuple(self._cell(scores.item, number) for number in members), ""))
        for of_teams in self._result.team_scores:
            if of_teams.division == division:
                name = parts[of_teams.item.partition(":")[2]]
                points = self._team_points.get((of_teams.item, division, team), Fraction(0))
                may_change = self._unsettled.team_items.get((division, team, of_teams.item), "")
                may_change = _(may_change) if may_change else ""
                lines.append(TeamLine(name, (), figure(points), open=may_change))
        overall = _Placed.of(next(of for of in self._result.of_everybody if of.division == division))
        totals = [Cell(number, figure(overall.individuals[number].total), anchor(number)) for number in members]
        whole = figure(overall.teams[team].total) if team in overall.teams else ""
        lines.append(TeamLine(_("Total"), tuple(totals), whole, total=True))
        return lines

    def _in_words(self, scores: Iterable[tuple[ReasonsScore, ReasonsScore]]) -> Iterator[tuple[str, str, str, str]]:
        """Who gave which score, what that is where scores are standardised, and to what it is raised if it is less."""
        for score, counts in scores:
            instead = self._standardised and score.official not in self._as_given
            least = self._least.get(score.number, 0)
            raised = _points(counts._replace(hundredths=least)) if counts.hundredths < least else ""
            yield score.official, _points(score), _points(counts) if instead else "", raised

    def _cell(self, item: str, number: int) -> Cell:
        return Cell(number, self._shown(item, number), anchor(number, item), self._unsettled.of(number, item))


def anchor(number: int, item: str = "places") -> str:
    """Where on a contestant's sheet an item stands: `101-class-3` for `class:3`."""
    return f"{number}-{item.replace(':', '-')}"


def _points(score: ReasonsScore) -> str:
    return figure(Fraction(score.hundredths, HUNDREDTHS))

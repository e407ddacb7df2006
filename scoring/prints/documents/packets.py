"""Team packets: what a coach takes home, with a page for each contestant to learn from.

What the officials noted on a pair stands beside it once the results are released; before, only those who score see it.

Whose names: those of the team, since a packet is handed to the team itself. Nobody of another team is named.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from scoring.core.explain import name_of_list, noted, ties_in_words, told_to
from scoring.core.keeping import choice_told
from scoring.core.placing import cut_name, lost_by
from scoring.core.points import figure
from scoring.core.record import HUNDREDTHS, NO_CARD, UNREADABLE, Contestant, JudgingClass
from scoring.core.result import IndividualRow, Standing, TeamRow
from scoring.core.sets import plain_division
from scoring.core.standardising import counting_reasons, is_standardising
from scoring.core.tally import least_reasons
from scoring.prints.answers import Answers
from scoring.prints.changed import Changes
from scoring.prints.choice import Choice
from scoring.prints.crossed_lines import crossing
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import fit, full_name, ordinal
from scoring.standings.rows import provisional
from scoring.standings.sheets import FULL

MANY_ANIMALS = 7
"""From so many on, placings and cuts need a wider column."""


@dataclass(frozen=True, slots=True)
class Packet:
    """A team with its members; the individuals of a division come one by one, each as a packet of one."""

    division: str
    team: str
    members: tuple[Contestant, ...]


def packets_of(material: Material, choice: Choice) -> list[Packet]:
    """Every packet that was asked for, by division and team; individuals last."""
    teams: defaultdict[tuple[str, str], list[Contestant]] = defaultdict(list)
    for person in material.present:
        if choice.wants(person.number):
            teams[person.division, person.team].append(person)
    order = {division.code: place for place, division in enumerate(material.record.divisions)}
    packets = []
    for division, team in sorted(teams, key=lambda key: (order[key[0]], not key[1], key[1].casefold())):
        members = teams[division, team]
        packets += (
            [Packet(division, team, tuple(members))] if team else [Packet(division, "", (alone,)) for alone in members]
        )
    return packets


def build(material: Material, choice: Choice) -> dict[str, Any]:
    sheets = _Sheets(material)
    news = Changes(material, choice)
    packets: list[dict[str, Any]] = []
    for packet in packets_of(material, choice):
        team = sheets.team(packet)
        code = material.public
        if team and not news.keep(f"{packet.division}/{packet.team}", (team, code)):
            team = None
        people = [sheets.person(person) for person in packet.members]
        packets.append(
            {
                "title": packet.team or f"{packet.members[0].number} {full_name(packet.members[0])}".strip(),
                "division": material.division_names[packet.division],
                "team": team,
                "people": [
                    person
                    for person in people
                    if news.keep(str(person["number"]), (person, "" if packet.team else code))
                ],
            }
        )
    pages = sum(len(packet["people"]) + bool(packet["team"]) for packet in packets)
    return {
        "packets": packets,
        "open": sheets.open,
        "pages": pages,
        "said": news.said,
        "standardised": sheets.standardised,
        "wide": any(len(judged.animals) >= MANY_ANIMALS for judged in material.placed_classes),
    }


@dataclass(frozen=True, slots=True)
class _Class:
    """What the contestants of a division scored in a class: how many they are, their mean, and each score's place."""

    count: int
    mean: Fraction
    places: dict[Fraction, int]

    @classmethod
    def of(cls, given: Counter[Fraction]) -> _Class:
        """Of how often each score was given: few are, however many contestants there are."""
        best_first = sorted(given, reverse=True)
        ahead = accumulate((given[points] for points in best_first), initial=0)
        places = {points: before + 1 for points, before in zip(best_first, ahead, strict=False)}
        total = sum((points * times for points, times in given.items()), Fraction(0))
        return cls(given.total(), total / given.total() if given else total, places)


class _Sheets:
    """Every score and rank, by whose it is: built once, since a contest has a thousand packets' pages."""

    def __init__(self, material: Material) -> None:
        record, result = material.record, material.result
        self._material = material
        self._names = {(of.division, of.code): name_of_list(record, of) for of in result.standings}
        self._ties = ties_in_words(record)
        self._cards = {(card.class_number, card.number): card.placing for card in record.cards}
        self._kept = {(choice.part, choice.number): choice.kept for choice in record.choices}
        self._answers = Answers(material)
        self._points: dict[tuple[str, int], Fraction] = {}
        for scores in result.scores:
            self._points.update(
                ((scores.item, number), p) for number, p in zip(scores.numbers, scores.points, strict=True)
            )
        self._team_points = {
            (scores.item, scores.division, team): points
            for scores in result.team_scores
            for team, points in zip(scores.teams, scores.points, strict=True)
        }
        self._reasons: defaultdict[tuple[int, int], dict[str, str]] = defaultdict(dict)
        self.standardised = is_standardising(record)
        self._least = least_reasons(record)
        for score, counts in zip(record.reasons, counting_reasons(record), strict=True):
            points = figure(Fraction(score.hundredths, HUNDREDTHS))
            if self.standardised:
                points = f"{points} ({figure(Fraction(counts.hundredths, HUNDREDTHS))})"
            if counts.hundredths < (least := self._least.get(score.number, 0)):
                raised = _("raised to {points}").format(points=figure(Fraction(least, HUNDREDTHS)))
                points = f"{points}, {raised}"
            self._reasons[score.class_number, score.number][score.official] = points
        self._lists: defaultdict[str, list[Standing]] = defaultdict(list)
        self._ranks: dict[tuple[str, str, int], IndividualRow] = {}
        self._team_ranks: dict[tuple[str, str, str], TeamRow] = {}
        for standing in result.standings:
            self._lists[plain_division(standing.division)].append(standing)
            key = standing.division, standing.code
            self._ranks.update(((*key, row.number), row) for row in (*standing.individuals, *standing.apart))
            self._team_ranks.update(((*key, row.team), row) for row in standing.teams)
        self._losses: dict[tuple[int, str], list[dict[str, Any]]] = {}
        self._classes = self._by_class()
        self.open = {division.code: provisional(record, result, division.code) for division in record.divisions}

    def person(self, person: Contestant) -> dict[str, Any]:
        name = full_name(person)
        return {
            "number": person.number,
            "name": name,
            "size": fit(name, (26, 40)),
            "team": person.team,
            "division": self._material.division_names[person.division],
            "classes": [
                self._placing(judged, person)
                for judged in self._material.record.classes
                if judged.places and person.division in judged.divisions
            ],
            **self._heard(person),
            "marks": [
                {
                    "name": part.name,
                    "points": self._shown(f"part:{part.code}", person.number),
                    "most": part.most or "",
                    "told": choice_told(part, self._kept.get((part.code, person.number), NO_CARD))
                    if part.animals
                    else (),
                }
                for part in self._material.record.parts
                if person.division in part.divisions and part.scope == "individual"
            ],
            "answers": [
                {"name": part.name, "told": told}
                for part in self._material.record.parts
                if (told := self._answers.told(part.code, person.number)) and person.division in part.divisions
            ],
            "lists": [
                self._rank(row, standing, len(standing.individuals))
                for standing in self._lists[person.division]
                for row in (self._ranks.get((standing.division, standing.code, person.number)),)
                if row
            ],
            "open": self.open[person.division],
        }

    def team(self, packet: Packet) -> dict[str, Any] | None:
        """The team's own page; None for an individual's packet."""
        if not packet.team:
            return None
        # Of several sets of results, those that the team or one of its members is in.
        standings = [of for of in self._lists[packet.division] if self._is_theirs(of, packet)]
        rows = [
            (standing, self._team_ranks.get((standing.division, standing.code, packet.team))) for standing in standings
        ]
        return {
            "lists": [
                self._rank(row, standing, len(standing.teams)) | {"counting": ", ".join(map(str, row.counting))}
                for standing, row in rows
                if row
            ],
            "codes": [self._names[standing.division, standing.code] for standing in standings if standing.individuals],
            "members": [
                {
                    "number": person.number,
                    "name": full_name(person),
                    "totals": [
                        (figure(row.total), _place(row)) if row else ("", "")
                        for standing in standings
                        if standing.individuals
                        for row in (self._ranks.get((standing.division, standing.code, person.number)),)
                    ],
                }
                for person in packet.members
            ],
            "marks": [
                {"name": part.name, "points": figure(points), "most": part.most}
                for part in self._material.record.parts
                if part.scope == "team"
                for points in (self._team_points.get((f"part:{part.code}", packet.division, packet.team)),)
                if points is not None
            ],
            "open": self.open[packet.division],
        }

    def _is_theirs(self, standing: Standing, packet: Packet) -> bool:
        key = standing.division, standing.code
        if not self._material.record.sets or (*key, packet.team) in self._team_ranks:
            return True
        return any((*key, person.number) in self._ranks for person in packet.members)

    def _by_class(self) -> dict[tuple[str, int], _Class]:
        """What each division's contestants scored in each class."""
        return {
            (scores.division, int(item)): _Class.of(Counter(scores.points))
            for scores in self._material.result.scores
            for kind, _colon, item in (scores.item.partition(":"),)
            if kind == "class"
        }

    def _placing(self, judged: JudgingClass, person: Contestant) -> dict[str, Any]:
        placing = self._cards.get((judged.number, person.number), NO_CARD)
        is_void = judged.is_void_for(person.division)
        is_full = judged.full_points and not is_void
        counts = not is_void and not is_full and judged.official is not None and judged.cuts is not None
        known = counts and placing not in (NO_CARD, UNREADABLE)
        lost = self._lost(judged, placing) if known else []
        return {
            "number": judged.number,
            "name": judged.name,
            "official": (counts and judged.official) or "",
            "cuts": _lines_of_cuts(judged.cuts) if counts and judged.cuts else (),
            "placing": {NO_CARD: _("no card"), UNREADABLE: _("unreadable")}.get(placing, placing),
            "score": self._shown(f"class:{judged.number}", person.number) if counts or is_full else "",
            "state": _("void") if is_void else _(FULL) if is_full else "" if counts else _("no key yet"),
            "beside": tuple(self._beside(judged, person, lost if known else None)) if counts else (),
            "known": known,
            "lost": lost,
            "picture": crossing(judged.official, placing) if known and judged.official else "",
        }

    def _beside(self, judged: JudgingClass, person: Contestant, lost: list[dict[str, Any]] | None) -> Iterator[str]:
        """What stands below a score: what was lost, the division's mean, and the place among its contestants. `lost` is
        None where there is no placing that could have lost anything."""
        if lost is not None:
            points = sum(pair["points"] for pair in lost)
            yield _("lost {points} of {all}").format(points=points, all=judged.perfect)
        everybody = self._classes.get((person.division, judged.number))
        own = self._points.get((f"class:{judged.number}", person.number))
        if own is None or everybody is None or everybody.count < 2:
            return
        yield _("mean {points}").format(points=figure(round(everybody.mean, 1)))
        yield _("{place} of {all}").format(place=ordinal(everybody.places[own]), all=everybody.count)

    def _lost(self, judged: JudgingClass, placing: str) -> list[dict[str, Any]]:
        """Pair by pair in points and words, with what was noted on it; made once for each placing of a class."""
        key = judged.number, placing
        if key not in self._losses:
            assert judged.official is not None and judged.cuts is not None
            pairs = lost_by(judged.official, judged.cuts, placing)
            words = told_to(judged.official, judged.cuts, placing)
            self._losses[key] = [
                {"points": pair.points, "words": said, "note": self._note(judged, pair.above + pair.below)}
                for pair, said in zip(pairs, words, strict=True)
            ]
        return self._losses[key]

    def _note(self, judged: JudgingClass, animals: str) -> str:
        """What the official noted on a pair of neighbours; empty for others, and as long as nothing is released."""
        place = (judged.official or "").find(animals)
        if self._material.released is None or place < 0:
            return ""
        notes = {note.name: note for note in self._material.class_notes.get(judged.number, ())}
        note = notes.get(cut_name(place, len(judged.animals)))
        return noted(note.decided_by, note.grants, note.faults) if note else ""

    def _heard(self, person: Contestant) -> dict[str, Any]:
        """What each official gave for each set, with a column for everybody who heard this contestant."""
        classes = [j for j in self._material.record.classes if person.division in j.counting_reasons]
        sets = [(judged, self._reasons.get((judged.number, person.number), {})) for judged in classes]
        officials = sorted({official for _, by_official in sets for official in by_official})
        return {
            "officials": officials,
            "sets": [
                {
                    "number": judged.number,
                    "name": judged.name,
                    "given": [by_official.get(official, "") for official in officials],
                    "mean": self._shown(f"reasons:{judged.number}", person.number) if by_official else _("not heard"),
                }
                for judged, by_official in sets
            ],
        }

    def _shown(self, item: str, number: int) -> str:
        points = self._points.get((item, number))
        return "" if points is None else figure(points)

    def _rank(self, row: IndividualRow | TeamRow, standing: Standing, among: int) -> dict[str, Any]:
        return {
            "name": self._names[standing.division, standing.code],
            "total": figure(row.total),
            "rank": _place(row),
            "among": _("of {all}").format(all=among) if row.rank else "",
            "note": self._ties[row.tie],
        }


def _lines_of_cuts(cuts: tuple[int, ...]) -> tuple[str, ...]:
    """The cuts as the column has room for them, no number broken: those of seven or eight animals on two lines."""
    text = "-".join(map(str, cuts))
    if len(cuts) < MANY_ANIMALS - 1:
        return (text,)
    first = "-".join(map(str, cuts[: len(cuts) // 2]))
    return f"{first}-", text[len(first) + 1 :]


def _place(row: IndividualRow | TeamRow) -> str:
    """A place in a list; of who counts for the team alone, that they are not ranked."""
    return ordinal(row.rank) if row.rank else _("not ranked")


DOCUMENT = Document(
    name="packets",
    title=gettext_lazy("Team packets"),
    about=gettext_lazy(
        "A page for each team and contestant: every class with the official placing, the pairs lost, reasons, ranks."
    ),
    when="after",
    names=gettext_lazy("the team’s own"),
    build=build,
    asks=("numbers", "changed", "address"),
    needs=frozenset({"notes", "public", "answers"}),
)

"""Coaches' summaries: what a team earned in each class, set and part, where it stands in it, and which pairs cost it.

Whose names: those of the team, since a summary is handed to its coach. Nobody of another team is named.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from scoring.core.explain import listed, name_of_list
from scoring.core.keeping import instead
from scoring.core.placing import lost_by
from scoring.core.points import figure
from scoring.core.record import NO_CARD, UNREADABLE, Contestant, JudgingClass, Part
from scoring.core.sets import plain_division
from scoring.prints.changed import Changes
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.documents.packets import Packet, packets_of
from scoring.prints.material import Material
from scoring.prints.words import fit, full_name, ordinal
from scoring.standings.rows import provisional

PAIRS = 2
"""The pairs of a class that cost a team most."""
BESIDE = 5
"""Members whose scores stand beside what was lost; of larger teams that stands below each class."""
MOST_BESIDE = 9
"""Members of a team that have a column of their own; larger teams have them on the members' own pages."""


def build(material: Material, choice: Choice) -> dict[str, Any]:
    points, news = _Points(material), Changes(material, choice)
    chosen = {(packet.division, packet.team) for packet in packets_of(material, choice) if packet.team}
    everybody = [packet for packet in packets_of(material, Choice()) if (packet.division, packet.team) in chosen]
    teams = [_team(material, points, packet) for packet in everybody]
    teams = [team for team in teams if news.keep(f"{team['division']}/{team['name']}", team)]
    return {"teams": teams, "pages": len(teams), "said": news.said}


class _Points:
    """Everybody's points by item, and the means of a division's teams in each."""

    def __init__(self, material: Material) -> None:
        team_of = {person.number: person.team for person in material.record.contestants}
        self.of: dict[tuple[str, int], Fraction] = {}
        self.means: dict[tuple[str, str], dict[str, Fraction]] = {}
        self.mean: dict[tuple[str, str], Fraction] = {}
        for scores in material.result.scores:
            by_team: defaultdict[str, list[Fraction]] = defaultdict(list)
            for number, points in zip(scores.numbers, scores.points, strict=True):
                self.of[scores.item, number] = points
                by_team[team_of[number]].append(points)
            key = scores.division, scores.item
            self.means[key] = {team: _mean(all_of) for team, all_of in by_team.items() if team}
            self.mean[key] = _mean(scores.points)


def _mean(points: Sequence[Fraction]) -> Fraction:
    return sum(points, Fraction(0)) / len(points) if points else Fraction(0)


def _team(material: Material, points: _Points, packet: Packet) -> dict[str, Any]:
    cards = {(card.class_number, card.number): card.placing for card in material.record.cards}
    kept = {(choice.part, choice.number): choice.kept for choice in material.record.choices}
    parts = {f"part:{part.code}": part for part in material.record.parts if part.animals}
    columns = packet.members if len(packet.members) <= MOST_BESIDE else ()
    return {
        "name": packet.team,
        "size": fit(packet.team, (26, 40)),
        "division": material.division_names[packet.division],
        "members": [{"number": person.number, "name": full_name(person)} for person in packet.members],
        "columns": [person.number for person in columns],
        "beside": len(columns) <= BESIDE,
        "rows": [
            {
                "name": name,
                "points": [_shown(points.of.get((item, person.number))) for person in columns],
                **_beside(points, packet, item),
                "lost": _lost(judged, packet.members, cards)
                if judged
                else _lost_keeping(parts[item], packet.members, kept)
                if item in parts
                else "",
            }
            for item, name, judged in _items(material, packet.division)
        ],
        "lists": list(_lists(material, packet)),
        "open": provisional(material.record, material.result, packet.division),
    }


def _items(material: Material, division: str) -> Iterator[tuple[str, str, JudgingClass | None]]:
    for judged in material.record.classes:
        if judged.places and division in judged.divisions and not judged.is_void_for(division):
            yield f"class:{judged.number}", f"{judged.number} {judged.name}", judged
    for judged in material.record.classes:
        if division in judged.counting_reasons:
            yield f"reasons:{judged.number}", _("Reasons, class {number}").format(number=judged.number), None
    for part in material.record.parts:
        if division in part.divisions and part.scope == "individual":
            yield f"part:{part.code}", part.name, None


def _beside(points: _Points, packet: Packet, item: str) -> dict[str, str]:
    means = points.means.get((packet.division, item), {})
    own = means.get(packet.team)
    if own is None:
        return {"mean": "", "all": "", "rank": ""}
    rank = 1 + sum(mean > own for mean in means.values())
    return {
        "mean": figure(round(own, 1)),
        "all": figure(round(points.mean[packet.division, item], 1)),
        "rank": _("{place} of {all}").format(place=ordinal(rank), all=len(means)),
    }


def _lost(judged: JudgingClass, members: Sequence[Contestant], cards: dict[tuple[int, int], str]) -> str:
    """What all its members lost in a class, and which pairs cost the team most."""
    if not judged.official or judged.cuts is None or judged.full_points:
        return _("no key yet")
    lost: Counter[tuple[str, str]] = Counter()
    for person in members:
        placing = cards.get((judged.number, person.number), NO_CARD)
        if placing not in (NO_CARD, UNREADABLE):
            lost.update({(p.above, p.below): p.points for p in lost_by(judged.official, judged.cuts, placing)})
    if not lost:
        return ""
    most = [
        _("{above} over {below} −{points}").format(above=above, below=below, points=points)
        for (above, below), points in sorted(lost.items(), key=lambda pair: (-pair[1], pair[0]))[:PAIRS]
        if points
    ]
    return _("−{points}: {pairs}").format(points=lost.total(), pairs=listed(most)) if most else ""


def _lost_keeping(part: Part, members: Sequence[Contestant], choices: dict[tuple[str, int], str]) -> str:
    """What keeping the wrong animals cost a team, and which cost it most."""
    if part.values is None:
        return _("no key yet")
    lost: Counter[tuple[str, str]] = Counter()
    for person in members:
        for one in instead(part, choices.get((part.code, person.number), NO_CARD)):
            lost[one.kept, one.missed] += one.worth_of_missed - one.worth
    most = [
        _("{kept} kept, not {missed} −{points}").format(kept=kept, missed=missed, points=points)
        for (kept, missed), points in sorted(lost.items(), key=lambda pair: (-pair[1], pair[0]))[:PAIRS]
        if points
    ]
    return _("−{points}: {pairs}").format(points=lost.total(), pairs=listed(most)) if most else ""


def _lists(material: Material, packet: Packet) -> Iterator[dict[str, Any]]:
    for standing in material.result.standings:
        for row in standing.teams if plain_division(standing.division) == packet.division else ():
            if row.team == packet.team:
                rank = _("{place} of {all}").format(place=ordinal(row.rank), all=len(standing.teams))
                counting = ", ".join(map(str, row.counting))
                name = name_of_list(material.record, standing)
                yield {"name": name, "total": figure(row.total), "rank": rank, "counting": counting}


def _shown(points: Fraction | None) -> str:
    return "" if points is None else figure(points)


DOCUMENT = Document(
    name="coach-summaries",
    title=gettext_lazy("Coaches’ summaries"),
    about=gettext_lazy(
        "A page for each team: every class with its members’ scores, the team’s mean and rank, and where points went."
    ),
    when="after",
    names=gettext_lazy("the team’s own"),
    build=build,
    asks=("numbers", "changed"),
)

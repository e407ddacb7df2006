"""Whom a document is made for: teams and contestants by their names."""

from __future__ import annotations

from dataclasses import replace

from django.utils.translation import gettext as _

from contest.web.searching import plain
from scoring.core.explain import listed, some_of
from scoring.core.record import Record
from scoring.prints.choice import Choice, WrongChoice
from scoring.prints.material import Material
from scoring.prints.words import full_name


def team_names(record: Record) -> list[str]:
    return sorted({person.team for person in record.contestants if person.team}, key=str.casefold)


def named(record: Record, typed: str) -> tuple[tuple[str, ...], tuple[int, ...]]:
    """The team, or the number of the contestant, that somebody typed the name of: all of it, or words that nobody else
    has. A team's name means those of all divisions. Raises WrongChoice for none and for several.
    """
    words = plain(typed).split()
    teams = {name: plain(name).split() for name in team_names(record)}
    people = {person.number: plain(full_name(person)).split() for person in record.contestants if full_name(person)}
    for fits in (lambda name: name == words, lambda name: all(any(word in part for part in name) for word in words)):
        found_teams = tuple(name for name, parts in teams.items() if fits(parts))
        found_people = tuple(number for number, parts in people.items() if fits(parts))
        if len(found_teams) + len(found_people) == 1:
            return found_teams, found_people
        if found_teams or found_people:
            names = {person.number: f"{person.number} {full_name(person)}" for person in record.contestants}
            several = some_of([*found_teams, *(names[number] for number in found_people)])
            raise WrongChoice(
                _("“{typed}” may be {names}: type all of the name, or the number").format(typed=typed, names=several)
            )
    raise WrongChoice(_("no team and nobody is called “{typed}”").format(typed=typed))


def with_members(material: Material, choice: Choice) -> Choice:
    """The choice with the numbers of everybody in its teams. Raises WrongChoice for a team that has nobody here."""
    if not choice.teams:
        return choice
    empty = [team for team in choice.teams if all(person.team != team for person in material.present)]
    if empty:
        raise WrongChoice(_("nobody of {teams} is here").format(teams=listed(empty)))
    members = tuple(person.number for person in material.record.contestants if person.team in choice.teams)
    return replace(choice, teams=(), numbers=tuple(dict.fromkeys(choice.numbers + members)))

"""Several sets of results from one contest: who is in each, and its lists as those of a contest of its own.

Everything is judged once, and scores are the same in every set: also standardised ones, by all that an official heard.
Ranks, ties, who counts for a team and how a short team fares are those of the members alone. In a set a team is its
members who are in the set (common practice, no source); a member may count for another team there.

Worked example: a county judges its club members and its school chapters at once. 101 is in both sets, 102 only in the
chapters'. The clubs' list has 101 without 102, and a tie of the two is a tie among the chapters alone.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace

from scoring.core.record import IN_SET, Contestant, Record, SetMember
from scoring.core.result import Result, Standing
from scoring.core.texts import gettext

LONGEST_TEAM = 200


def record_of_set(record: Record, code: str) -> Record:
    """The record as if the contest were one set's members' alone; slips of others stay in it and count for nobody."""
    teams = {member.number: member.team for member in record.members if member.set == code}
    people = (_counting_for(person, teams[person.number]) for person in record.contestants if person.number in teams)
    decided = (
        replace(one, division=division)
        for one in record.decided
        for division, in_set, of in [one.division.partition(IN_SET)]
        if in_set and of == code
    )
    return replace(record, contestants=tuple(people), decided=tuple(decided), sets=(), members=())


def _counting_for(person: Contestant, team: str) -> Contestant:
    return person._replace(team=team, role="member") if team else person


def listed(standings: Iterable[Standing], code: str) -> Iterator[Standing]:
    """The standings of a set as the whole contest lists them."""
    return (replace(one, division=f"{one.division}{IN_SET}{code}") for one in standings)


def seen_in(record: Record, result: Result, listed_division: str) -> tuple[Record, Result, str]:
    """The contest that a listed division belongs to, and its plain code there: its set's, or the contest itself."""
    division, in_set, code = listed_division.partition(IN_SET)
    if not in_set:
        return record, result, division
    of = next(of for of in result.sets if of.code == code)
    return of.record, of.result, division


def list_in_its_set(record: Record, result: Result, standing: Standing) -> tuple[Record, Result, Standing]:
    """A list, or some rows of it, within the contest that it belongs to."""
    record, result, division = seen_in(record, result, standing.division)
    return record, result, standing if division == standing.division else replace(standing, division=division)


def each_contest(record: Record, result: Result) -> Iterator[tuple[Record, Result, str]]:
    """What has lists: the contest itself, or where there are sets each of them; and what follows its divisions' codes
    where they are listed."""
    if not result.sets:
        yield record, result, ""
    for of in result.sets:
        yield of.record, of.result, f"{IN_SET}{of.code}"


def plain_division(listed_division: str) -> str:
    """The code of the contest's own division that a listed one is of."""
    return listed_division.partition(IN_SET)[0]


def membership(text: str) -> dict[str, str]:
    """The codes of sets that a column or a field names, each with the team that somebody counts for there; empty where
    it is their own. Such as `4H`, `4H CHAPTERS`, or where a team is another one `4H; CHAPTERS = Ash Valley`."""
    items = text.split(";") if "=" in text or ";" in text else re.split(r"[\s,]+", text)
    pairs = (item.partition("=") for item in items if item.strip())
    return {code.strip(): team.strip() for code, _is, team in pairs}


def members_of(text: str, codes: Iterable[str], number: int = 0) -> list[SetMember]:
    """What a column or a field says of somebody's sets, in the order of the contest's own `codes`."""
    named = membership(text)
    return [SetMember(code, number, named[code]) for code in codes if code in named]


def membership_written(members: Iterable[SetMember]) -> str:
    """The same the other way round."""
    return "; ".join(f"{member.set} = {member.team}" if member.team else member.set for member in members)


def why_not_membership(text: str, codes: Collection[str]) -> str:
    """What is wrong with what a column or a field says of somebody's sets; empty if nothing is."""
    for code, team in membership(text).items():
        if code not in codes:
            told = gettext("{code!r} is no set of results; the sets are {known}")
            none = gettext("the contest has no sets of results, and this names {code!r}")
            return (told if codes else none).format(code=code, known=", ".join(codes))
        if len(team) > LONGEST_TEAM:
            return gettext("a team’s name has {most} characters at most").format(most=LONGEST_TEAM)
    return ""


def in_no_set(record: Record) -> list[int]:
    """Who is here and in no set, though there are some: they stand in no list."""
    somewhere = {member.number for member in record.members}
    return [one.number for one in record.contestants if record.sets and one.present and one.number not in somewhere]

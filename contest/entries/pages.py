"""What the pages about entries show."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import datetime
from itertools import groupby
from operator import attrgetter
from typing import Any, NamedTuple

from django.http import QueryDict
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext, pgettext_lazy

from contest.entries.entered import set_aside_of, sets_of
from contest.entries.rotation import Round, rotation
from contest.models import Contest, Contestant, Team
from contest.slips.kinds import slip_of
from contest.web.bounds import part_of
from contest.web.searching import plain
from scoring.core.explain import listed
from scoring.core.people import whole_name
from scoring.core.points import in_thousands
from scoring.core.sets import membership

NO_TEAM = "none"
NO_SET = "-"
"""Asks for whoever is in no set of results; no code has it."""
STATES = {
    "waiting": gettext_lazy("expected, not arrived"),
    "arrived": pgettext_lazy("of contestants", "arrived"),
    "scratched": pgettext_lazy("of contestants", "scratched"),
    "ineligible": pgettext_lazy("of contestants", "ineligible"),
    "unranked": pgettext_lazy("of contestants", "not ranked"),
    "alternate": gettext_lazy("alternates"),
    "late": pgettext_lazy("of contestants", "entered late"),
    "hidden": gettext_lazy("name not to be shown"),
    "ungrouped": gettext_lazy("without a group"),
}


LONG = 200
"""Entries up to which the page holds all that are chosen, so that a script can narrow them while somebody types."""

A_PART = 100
LONGEST_SEARCH = 60


class _Entry(NamedTuple):
    """A contestant as the list needs them: of 1,500, objects of Django's would take most of the page."""

    pk: int
    number: int
    first_name: str
    last_name: str
    division_id: int
    team_id: int | None
    group: str
    present: bool
    checked_in_at: datetime | None
    show_name: bool
    ineligible: bool
    came_from: str
    unranked: str
    alternate: bool
    late: bool

    def searched(self, teams: Mapping[int, str]) -> str:
        """What words are looked for in."""
        return f"{self.number} {self.first_name} {self.last_name} {teams.get(self.team_id or 0, '')}"


def entries_page(contest: Contest, asked: QueryDict, wanted: str = "") -> dict[str, Any]:
    """The list of entries, narrowed as asked; a 1,500-row list comes in one query, as plain rows.

    `wanted` are words to be found in numbers, names and teams; they stand in no address.
    """
    people = map(_Entry._make, contest.contestants.order_by("number").values_list(*_Entry._fields))
    sets = sets_of(contest)
    divisions = dict(contest.divisions.values_list("pk", "name"))
    teams = dict(Team.objects.filter(division__contest=contest).values_list("pk", "name"))
    everybody = list(people)
    groups = sorted({row.group for row in everybody if row.group})
    origins = sorted({row.came_from for row in everybody if row.came_from}, key=str.casefold)
    codes = list(contest.sets.values_list("code", "name"))
    rows = [row for row in everybody if _wanted(row, asked) and _in_set(sets.get(row.pk, ""), asked)]
    words = plain(wanted[:LONGEST_SEARCH]).split()
    if words:
        rows = [row for row in rows if _holds(plain(row.searched(teams)), words)]
    # What was looked for is not in the address, so that there could be no further page of it.
    part = part_of(rows, LONG if len(rows) <= LONG or words else A_PART, QueryDict() if words else asked)
    several = len(divisions) > 1
    return {
        "counts": _counts(everybody, teams),
        "rows": [_row(row, divisions, teams, sets.get(row.pk, "")) for row in part.rows],
        "part": part,
        "wanted": wanted,
        "many": len(everybody) > LONG,
        "shown": ngettext("{count} entry", "{count} entries", len(rows)).format(count=in_thousands(len(rows))),
        "all": len(rows) == len(everybody),
        "divisions": divisions,
        "teams": [
            (pk, f"{name}, {divisions[division_id]}" if several else name)
            for pk, name, division_id in Team.objects.filter(division__contest=contest)
            .order_by("name", "division__position")
            .values_list("pk", "name", "division_id")
        ],
        "groups": groups,
        "origins": origins,
        "states": STATES,
        "sets": [*codes, (NO_SET, _("– none –"))] if codes else [],
        "asked": {name: asked.get(name, "") for name in ("division", "team", "group", "state", "from", "set")},
        "no_team": NO_TEAM,
    }


def _holds(text: str, words: Iterable[str]) -> bool:
    return all(word in text for word in words)


def _row(row: _Entry, divisions: dict[int, str], teams: dict[int, str], sets: str) -> tuple[Any, ...]:
    states = [
        word
        for word, holds in (
            (pgettext("of one contestant", "scratched"), not row.present),
            (pgettext("of one contestant", "ineligible"), row.ineligible),
            (pgettext("of one contestant", "not ranked"), row.unranked),
            (_("alternate"), row.alternate),
            (pgettext("of one contestant", "entered late"), row.late),
            (_("name hidden"), not row.show_name),
        )
        if holds
    ]
    when = localtime(row.checked_in_at).strftime("%H:%M") if row.checked_in_at else ""
    name, team = whole_name(row.first_name, row.last_name), teams.get(row.team_id or 0, "")
    return row.pk, row.number, name, divisions[row.division_id], team, row.group, when, states, row.came_from, sets


def _in_set(sets: str, asked: Mapping[str, str]) -> bool:
    wanted = asked.get("set", "")
    return not wanted or (not sets if wanted == NO_SET else wanted in membership(sets))


def _wanted(row: _Entry, asked: Mapping[str, str]) -> bool:
    holds = {
        "waiting": row.present and row.checked_in_at is None,
        "arrived": row.present and row.checked_in_at is not None,
        "scratched": not row.present,
        "ineligible": row.ineligible,
        "unranked": bool(row.unranked),
        "alternate": row.alternate,
        "late": row.late,
        "hidden": not row.show_name,
        "ungrouped": row.present and not row.group,
    }
    return (
        asked.get("division", "") in ("", str(row.division_id))
        and asked.get("team", "") in ("", str(row.team_id) if row.team_id else NO_TEAM)
        and asked.get("group", "") in ("", row.group)
        and asked.get("from", "") in ("", row.came_from)
        and holds.get(asked.get("state", ""), True)
    )


def _counts(rows: list[_Entry], teams: dict[int, str]) -> list[tuple[int, str]]:
    """The figures at the top, each with its word; what is nobody's is left out."""
    present = [row for row in rows if row.present]
    figures = [
        (len(rows), _("entered")),
        (len(teams), ngettext("team", "teams", len(teams))),
        (sum(row.team_id is None for row in rows), _("individuals")),
        (sum(row.checked_in_at is not None for row in present), pgettext("of contestants", "arrived")),
        (sum(row.checked_in_at is None for row in present), _("expected still")),
        (len(rows) - len(present), pgettext("of contestants", "scratched")),
        (sum(row.ineligible for row in rows), pgettext("of contestants", "ineligible")),
    ]
    return [figures[0], *((figure, word) for figure, word in figures[1:] if figure)]


def origins_page(contest: Contest, asked: QueryDict) -> dict[str, Any]:
    """Who came from where, in parts: each place, how many that are, and they by division and team; those of nowhere
    last."""
    in_order = contest.contestants.order_by("division__position", "team__name", "number")
    people = sorted(
        in_order.select_related("team", "division"), key=lambda one: (not one.came_from, one.came_from.casefold())
    )
    counts = Counter(one.came_from for one in people)
    part = part_of(people, A_PART, asked)
    places = [
        (
            place,
            ngettext("{count} contestant", "{count} contestants", counts[place]).format(
                count=in_thousands(counts[place])
            ),
            [
                (
                    one.pk,
                    one.number,
                    whole_name(one.first_name, one.last_name),
                    one.team.name if one.team else "",
                    one.division.name,
                    one.present,
                )
                for one in theirs
            ],
        )
        for place, theirs in groupby(part.rows, key=attrgetter("came_from"))
    ]
    return {"places": places, "part": part}


def set_aside_shown(contestant: Contestant) -> list[dict[str, Any]]:
    """What was read of somebody and set aside, the latest first; `belongs`: it can be brought back."""
    return [
        {
            "reading": reading,
            "key": f"{slip.name}-{reading.pk}",
            "of": slip.of,
            "text": slip.text(reading),
            "belongs": slip.is_due(),
            "address": slip.place.address(contestant.contest),
        }
        for reading in set_aside_of(contestant)
        for slip in [slip_of(reading)]
    ]


def groups_page(contest: Contest) -> dict[str, Any]:
    """The groups with who is in them, and the rotation through the classes."""
    people = list(contest.contestants.filter(present=True).select_related("team").order_by("number"))
    letters = sorted({contestant.group for contestant in people if contestant.group})
    classes = [judged for judged in contest.classes.prefetch_related("divisions") if not judged.void]
    rounds = rotation(len(letters), classes, contest.starts_at, contest.minutes_of)
    divisions = contest.divisions.count()
    return {
        "letters": letters,
        "rounds": rounds,
        "waiting": any(None in turn.places for turn in rounds),
        "lists": [_group(letter, people, rounds, letters) for letter in letters],
        "without": [contestant for contestant in people if not contestant.group],
        "classes": [
            (judged, "" if len(judged.divisions.all()) == divisions else listed(map(str, judged.divisions.all())))
            for judged in classes
        ],
        "meeting": meetings(people),
    }


def _group(letter: str, people: Iterable[Contestant], rounds: list[Round[Any]], letters: list[str]) -> dict[str, Any]:
    members = [contestant for contestant in people if contestant.group == letter]
    at = letters.index(letter)
    starts_at = rounds[0].places[at] if rounds else None
    count = len(members)
    if starts_at:
        text = ngettext(
            "{count} contestant; starts at class {number}", "{count} contestants; starts at class {number}", count
        )
        described = text.format(count=count, number=starts_at.number)
    elif rounds:
        text = ngettext("{count} contestant; waits first", "{count} contestants; waits first", count)
        described = text.format(count=count)
    else:
        described = ngettext("{count} contestant", "{count} contestants", count).format(count=count)
    return {"letter": letter, "people": described, "numbers": [contestant.number for contestant in members]}


def meetings(people: Iterable[Contestant]) -> str:
    """How many team-mates share a group, in words; empty where none do."""
    together = Counter((c.team_id, c.group) for c in people if c.team_id and c.group and c.present)
    shared = sum(count for count in together.values() if count > 1)
    text = ngettext(
        "{count} contestant share a group with a team-mate.",
        "{count} contestants share a group with a team-mate.",
        shared,
    )
    return text.format(count=in_thousands(shared)) if shared else ""

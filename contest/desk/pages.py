"""What a page where a stack is read shows, and what its script starts from.

Nothing here says what anybody else read, or what another official gave: a second reading is blind.
"""

from __future__ import annotations

from heapq import merge
from itertools import islice
from typing import Any

from django.urls import reverse

from contest.changes.snapshot import one_snapshot
from contest.desk.help import help_for
from contest.models import Contest
from contest.outbox import shelf_of
from contest.slips.kinds import KINDS, slip_of
from contest.slips.reading import outcome_of
from contest.slips.slip import Slip
from contest.slips.stack import Stack
from contest.web.requests import Request

LAST = 10
"""As many of a reader's readings stay in sight."""

NOBODY = "00000000-0000-0000-0000-000000000000"  # holds the place of a submission in an address


def kinds_of(room: str) -> list[type[Slip]]:
    """What is read in the room that the names of addresses call so."""
    return [kind for kind in KINDS if kind.room == room]


@one_snapshot()
def stack_shown(request: Request, stack: Stack) -> dict[str, Any]:
    """What the template of a stack is given; its script starts from `page`."""
    contest, who, room = stack.contest, request.who, stack.kind.room
    slips = stack.slips(who)
    odd, none = stack.surprises()
    teams = {slip.number: {"of": slip.of, "name": slip.name, "division": slip.division} for slip in slips if slip.name}
    page = {
        **queue_page(request, contest, room),
        **named(stack),
        **stack.own,
        "expected": [slip.number for slip in stack.left(slips)],
        "done": [slip.number for slip in stack.read_already(slips)],
        "odd": odd,
        "none": none,
        "known": list(teams if stack.by_name else contest.contestants.values_list("number", flat=True)),
        "names": teams if stack.by_name else None,
        "recent": last_readings(contest, room, who),
    }
    page["addresses"] |= {
        "readings": stack.readings.address(contest),
        "expected": stack.expected_at(),
    }
    return {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "help": help_for(stack, reads_twice=contest.readings_per_card > 1),
        "stack": stack,
        "slips": slips,
        "page": page,
    }


def queue_page(request: Request, contest: Contest, room: str) -> dict[str, Any]:
    """What a page needs that only sends what waits on this device."""
    return {
        "desk": shelf_of(request, contest, room),
        "who": request.who,
        "addresses": {
            "takeBack": reverse(f"{room}-take-back", args=[contest.pk, NOBODY]),
            "hello": reverse(f"{room}-hello", args=[contest.pk]),
            "room": reverse(room, args=[contest.pk]),
        },
    }


def named(stack: Stack) -> dict[str, str]:
    """What tells a reading of this stack from one of another."""
    return {"room": stack.kind.room, "stack": stack.key, "label": stack.name}


def last_readings(contest: Contest, room: str, who: str) -> list[dict[str, Any]]:
    """The reader's last readings in a room, newest first, with what became of each."""
    own = {"by": who, "decides": False, "withdrawn_at__isnull": True}
    of_kinds = (kind.rows_of(contest, kind.readings).filter(**own).order_by("-pk")[:LAST] for kind in kinds_of(room))
    newest = merge(*of_kinds, key=lambda reading: reading.at, reverse=True)
    return [_as_json(reading) for reading in islice(newest, LAST)]


def _as_json(reading: Any) -> dict[str, Any]:
    slip, outcome = slip_of(reading), outcome_of(reading)
    team = getattr(slip, "team", None)
    return {
        **named(slip.stack),
        "submission": str(reading.submission),
        "whose": slip.whose,
        "owner": team.pk if team else int(slip.whose),
        "gave": slip.text(reading),
        "kind": outcome.kind,
        "text": outcome.text,
    }

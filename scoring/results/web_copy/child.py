"""The process that writes the web copy of one contest: told which on its input, it says on its output what went
wrong. It ends when its input does: whoever started it is gone.

Run as `python -m scoring.results.web_copy.child`, by `scoring.results.web_copy.keeper` alone.
"""

from __future__ import annotations

import json
import os
import sys
from functools import partial
from pathlib import Path
from typing import Any

from contest.background import end_with_the_server, step_back


def main() -> None:
    order = json.loads(sys.stdin.readline())
    step_back()
    end_with_the_server()

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")
    from contest import settings

    settings.DATABASES["default"]["NAME"] = order["database"]
    settings.STORAGES["staticfiles"] = order["styles"]

    import django

    django.setup()
    from django.db import DatabaseError

    try:
        write(order)
    except (OSError, DatabaseError) as problem:
        print(str(getattr(problem, "strerror", None) or problem), flush=True)
        sys.exit(1)


def write(order: dict[str, Any]) -> None:
    """Write each part of a contest that may be read and is not there, in the state that it has now.

    No snapshot is held while it is written, which takes long and would keep the database from tidying up: what was
    written while the contest changed is thrown away, and whoever asked for it asks again.
    """
    from contest.models import Contest
    from scoring.results.web_copy.pages import files_of, readable_now, state_of, version_of
    from scoring.results.web_copy.places import PARTS, in_force, is_of_state, put_up, state_in_force

    folder, pk = Path(order["folder"]), order["contest"]
    for part in PARTS:
        contest = Contest.objects.filter(pk=pk).first()
        announced = contest and readable_now(contest, part)
        if not contest or not announced or state_in_force(folder, pk, part) == (state := state_of(contest)):
            continue
        version, still_so = version_of(contest, part, announced), partial(is_still, pk, state)
        if in_force(folder, pk, part) == version:  # most changes of a contest change nothing in it
            is_right = still_so()
        else:
            is_right = put_up(folder, pk, part, version, files_of(contest, part, announced), still_so)
        if is_right:
            is_of_state(folder, pk, part, state)


def is_still(pk: int, state: str) -> bool:
    from contest.models import Contest
    from scoring.results.web_copy.pages import state_of

    contest = Contest.objects.filter(pk=pk).first()
    return contest is not None and state_of(contest) == state


if __name__ == "__main__":
    main()

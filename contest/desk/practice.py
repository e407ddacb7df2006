"""A practice stack of five invented slips, which never reach the contest: its page sends nothing."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from contest.desk.help import Help
from contest.models import Contest
from contest.web.requests import Request


def practice_shown(
    request: Request, contest: Contest, room: str, says: dict[int, str], label: str, helped: Help, **own: Any
) -> dict[str, Any]:
    """What the template of a practice stack is given. `says`: what each slip says, by its number, as a page sends it;
    `own` is what the page of such a stack starts from besides."""
    numbers = list(says)
    page = {
        "who": request.who,
        "addresses": {"room": reverse(room, args=[contest.pk]), "expected": ""},
        "room": room,
        "stack": "practice",
        "label": label,
        "expected": numbers,
        "done": [],
        "odd": {},
        "none": {},
        "known": numbers,
        "names": None,
        "recent": [],
        "practice": says,
        **own,
    }
    return {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "help": helped,
        "label": label,
        "stack": {"label": label, "most": own.get("most")},
        "page": page,
    }

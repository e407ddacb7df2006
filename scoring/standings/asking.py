"""How an address asks for a list, and how an open page hears that there is a newer one."""

from __future__ import annotations

from django.http import HttpResponse

from contest.web.requests import Request
from scoring.standings.listing import INDIVIDUAL_SORTS, TEAM_SORTS, View

LONGEST_SEARCH = 60


def newer() -> HttpResponse:
    """Tells an open page that it is not the newest any more."""
    return HttpResponse("newer\n", content_type="text/plain; charset=utf-8")


def view_of(request: Request) -> View:
    """How the address asks for a list to be searched and sorted; what makes no sense is the plainest."""
    asked = request.GET
    sort, teams = asked.get("sort", ""), asked.get("teams", "")
    return View(
        wanted=asked.get("find", "")[:LONGEST_SEARCH].strip(),
        sort=sort if sort in INDIVIDUAL_SORTS else "rank",
        down=asked.get("down") == "1",
        team_sort=teams if teams in TEAM_SORTS else "rank",
        team_down=asked.get("teams-down") == "1",
    )

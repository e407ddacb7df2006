"""What is behind a link to take home: a contestant's sheet, or a team's packet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django.urls import reverse

from contest.scanning.pictures import for_families
from scoring.announced.released import Released
from scoring.models import TakeHomeLink
from scoring.results.links import number_in
from scoring.results.protests import ToldWindow
from scoring.results.public import Site, frame
from scoring.results.telling import Telling
from scoring.standings.sheet_lines import ContestantSheet
from scoring.standings.sheets import Sheets


def home_page(
    link: TakeHomeLink,
    announced: Released,
    site: Site,
    window: ToldWindow | None,
    telling: Telling,
    sheets: Sheets | None = None,
) -> dict[str, Any] | None:
    """What its page shows of what was announced; None for whoever is not in that. `sheets` serve many pages."""
    sheets = sheets or Sheets(announced.record, announced.result, announced.unsettled)
    team, people = None, []
    if link.team:
        team = sheets.team(link.team.division.code, link.team.name)
        people = [telling.told(sheets.contestant(member.number)) for member in team.members] if team else []
    else:
        assert link.contestant is not None  # the database sees to it
        number = number_in(announced, link.contestant)
        people = [telling.told(sheets.contestant(number))] if number is not None else []
    if not people:
        return None
    return frame(announced.record.rules, announced, site) | {"team": team, "people": people, "window": window}


def pictured(link: TakeHomeLink, page: dict[str, Any]) -> dict[str, Any]:
    """The page with the address of each picture of a card that the contest lets families see."""
    numbers = [sheet.number for sheet in page["people"]]
    addresses = {
        (judged, number): reverse("take-home-card", args=[link.token, judged, number])
        for judged, number in for_families(link.contest, numbers)
    }
    return page | {"people": [_with_pictures(sheet, addresses) for sheet in page["people"]]}


def _with_pictures(sheet: ContestantSheet, addresses: Mapping[tuple[int | None, int | None], str]) -> ContestantSheet:
    """A sheet with the address of each card's picture, by class and contestant."""
    lines = (replace(line, picture=addresses.get((line.number, sheet.number), "")) for line in sheet.classes)
    return replace(sheet, classes=tuple(lines))

"""What the pages for entering scores show, and what their scripts start from.

Nothing here says what anybody else read, or what another official gave: a second reading is blind.
"""

from __future__ import annotations

from typing import Any

from django.db.models import Exists, OuterRef, QuerySet
from django.urls import reverse
from django.utils.http import urlencode

from contest.desk.pages import LAST, NOBODY, desk_of, outcome_as_json
from contest.models import Contest, MarkReading, ReasonsOfficial, ReasonsReading, ReasonsScore
from contest.slips.due import left_to_read
from contest.slips.points import points_text
from contest.slips.reading import outcome_of
from contest.watch.progress import group_order
from contest.web.requests import Request
from reasons.scores.entry import MarkSheet, ReasonsSheet, Sheet, SheetLine, of_group
from reasons.scores.forms import NO_SCORE


def sheet_address(sheet: Sheet, suffix: str = "") -> str:
    """Where a sheet is entered; `what` is "readings" or "expected" for what its script asks."""
    end = f"-{suffix}" if suffix else ""
    if isinstance(sheet, ReasonsSheet):
        args = [sheet.contest.pk, sheet.judging_class.number, sheet.official.pk]
        return reverse(f"scores-reasons-sheet{end}", args=args)
    return reverse(f"scores-marks-sheet{end}", args=[sheet.contest.pk, sheet.part.code])


def entry_page(sheet: Sheet, group: str | None, lines: list[SheetLine], who: str, shelf: str) -> dict[str, Any]:
    """What the script starts from; `group` None is for all groups, `shelf` is where this device keeps what waits."""
    contest = sheet.contest
    due = of_group(lines, group)
    return {
        "desk": shelf,
        "who": who,
        "sheet": sheet_address(sheet),
        "label": sheet.label,
        "most": sheet.most,
        "expected": [line.number for line in left_to_read(contest, due)],
        "odd": {**elsewhere(lines, group), **sheet.absent_numbers()},
        "none": sheet.none_from(),
        "known": _known(sheet, lines),
        "names": {line.number: {"of": line.of, "name": line.name, "division": line.division} for line in lines}
        if sheet.by_name
        else None,
        "recent": last_readings(contest, who),
        "addresses": {
            "readings": sheet_address(sheet, "readings"),
            "expected": sheet_address(sheet, "expected") + _query(group),
            "takeBack": reverse("scores-take-back", args=[contest.pk, NOBODY]),
            "hello": reverse("scores-hello", args=[contest.pk]),
            "room": reverse("scores", args=[contest.pk]),
        },
    }


def queue_page(contest: Contest, who: str, shelf: str) -> dict[str, Any]:
    """What a page needs that only sends what waits on this device."""
    return {"desk": shelf, "who": who, "addresses": {"hello": reverse("scores-hello", args=[contest.pk])}}


def shelf_of(contest: Contest, request: Request) -> str:
    """What a device keeps unsent readings under.

    A helper who comes back with another duty must not try to send what only the earlier duty may: so not the desk's.
    """
    shelf = desk_of(contest, request.who)
    return f"{shelf} scores" if request.helper else shelf


def groups_of(lines: list[SheetLine]) -> list[str]:
    """The groups that the lines are in, in their natural order; empty where there are none."""
    groups = {line.group for line in lines}
    return sorted(groups, key=group_order) if groups - {""} else []


def officials(contest: Contest) -> QuerySet[ReasonsOfficial]:
    """The reasons officials; each knows whether it is `unused`, and so can be removed."""
    return contest.reasons_officials.annotate(
        unused=~Exists(ReasonsReading.objects.filter(official=OuterRef("pk")))
        & ~Exists(ReasonsScore.objects.filter(official=OuterRef("pk")))
    )


def elsewhere(lines: list[SheetLine], group: str | None) -> dict[int, str]:
    return {
        line.number: f"is in group {line.group}" if line.group else "is in no group"
        for line in lines
        if group is not None and line.group != group
    }


def last_readings(contest: Contest, who: str) -> list[dict[str, Any]]:
    """The reader's last readings of scores, newest first, with what became of each."""
    reasons = ReasonsReading.objects.filter(judging_class__contest=contest).select_related(
        "judging_class__contest", "official", "contestant"
    )
    marks = MarkReading.objects.filter(part__contest=contest).select_related("part__contest", "contestant", "team")
    own = {"by": who, "decides": False, "withdrawn_at__isnull": True}
    newest: list[ReasonsReading | MarkReading] = [
        *reasons.filter(**own).order_by("-pk")[:LAST],
        *marks.filter(**own).order_by("-pk")[:LAST],
    ]
    newest.sort(key=lambda reading: reading.at, reverse=True)
    return [_as_json(reading) for reading in newest[:LAST]]


def _as_json(reading: ReasonsReading | MarkReading) -> dict[str, Any]:
    sheet: Sheet
    if isinstance(reading, MarkReading):
        sheet, team = MarkSheet(reading.part), reading.team
    else:
        sheet, team = ReasonsSheet(reading.judging_class, reading.official), None
    return {
        "submission": str(reading.submission),
        "sheet": sheet_address(sheet),
        "sheetLabel": sheet.label,
        "whose": str(reading.contestant or team),
        "owner": reading.contestant.number if reading.contestant else team and team.pk,
        "points": NO_SCORE if reading.hundredths is None else points_text(reading.hundredths),
        **outcome_as_json(outcome_of(reading)),
    }


def _known(sheet: Sheet, lines: list[SheetLine]) -> list[int]:
    if sheet.by_name:
        return [line.number for line in lines]
    return list(sheet.contest.contestants.values_list("number", flat=True))


def _query(group: str | None) -> str:
    return "" if group is None else "?" + urlencode({"group": group})

"""Deciding ties that no tie step separates: by a draw, or by an official's word, for a reason."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, TieDecision
from contest.models.outline import TEXT_LENGTH
from contest.records.tallying import tallied_in_turn
from contest.trail import record_change, sentence
from scoring.core.ranking import SHARED
from scoring.core.result import Result


class SharedPlace(NamedTuple):
    """Rows of a list that share a rank, by number or by team."""

    kind: str
    rank: int
    names: tuple[str, ...]


def shared_places(result: Result, division: str, code: str) -> Iterator[SharedPlace]:
    """The places of a list that several rows share: equal in everything, so that only a decision separates them."""
    for standing in result.standings:
        if (standing.division, standing.code) == (division, code):
            people = [(row.rank, str(row.number), row.tie) for row in standing.individuals]
            teams = [(row.rank, row.team, row.tie) for row in standing.teams]
            for kind, rows in (("individuals", people), ("teams", teams)):
                level = [row for row in rows if row[2] == SHARED]
                for rank, of_rank in groupby(level, key=lambda row: row[0]):
                    names = tuple(name for _rank, name, _tie in of_rank)
                    if len(names) > 1:
                        yield SharedPlace(kind, rank, names)


@changes
def decide_tie(
    contest: Contest, by: str, division: str, code: str, kind: str, order: Sequence[str], how: str, reason: str
) -> TieDecision:
    """Put rows that share a place of a list in order, the first one first. Everybody reads how, and the reason.

    Raises NotPossible without a reason, and where the rows do not share a place (any more).
    """
    shown = tallied_in_turn(contest)
    reason = " ".join(reason.split())
    if not reason:
        raise NotPossible(_("say why, for everybody reads it"))
    if len(reason) > TEXT_LENGTH:
        raise NotPossible(_("say it in {most} characters").format(most=TEXT_LENGTH))
    level = [set(place.names) for place in shared_places(shown.result, division, code) if place.kind == kind]
    if len(set(order)) < len(order) or set(order) not in level:
        raise NotPossible(_("these do not share a place any more; look again"))
    mine = contest.tie_decisions.filter(division=division, list=code, kind=kind)
    for old in mine:
        if set(old.order) == set(order):
            old.delete()  # it says nothing by now, or they would not share a place
    made = TieDecision.objects.create(
        contest=contest, division=division, list=code, kind=kind, order=list(order), how=how, reason=reason
    )
    after = {"list": f"{division} {code} {kind}", "order": list(order), "reason": reason}
    record_change(contest, by, sentence(f"tie_by_{how}", whose=", ".join(order), reason=reason), after=after)
    return made


@changes
def take_back_decision(decision: TieDecision, by: str) -> None:
    """Let the rows share their place again. Raises NotPossible where it was taken back already."""
    contest = decision.contest
    take_turn(contest.pk)
    if not TieDecision.objects.filter(pk=decision.pk).delete()[0]:
        raise NotPossible(_("that decision was taken back already"))
    contest.refresh_from_db()
    before = {"order": decision.order, "how": decision.how, "reason": decision.reason}
    record_change(contest, by, sentence("tie_shared_again", whose=", ".join(decision.order)), before=before)

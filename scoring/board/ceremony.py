"""The ceremony: which list is on stage, and how many of its rows are revealed, from the last up to the first.

Two announcers may hold a device each. Every move says which step it was made at, and a move that another one has
overtaken changes nothing: or else two presses of "next" would reveal two rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Literal, NamedTuple

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Touches
from contest.trail import record_change, sentence
from contest.web.revisions import ask_anew
from scoring.announced.released import released
from scoring.board.awards import ListKey, rows_of
from scoring.core.result import Result
from scoring.models import AwardList, BoardChoice, Ceremony

Move = Literal["begin", "again", "next", "back", "show", "stage", "end"]
MOVES: tuple[Move, ...] = ("begin", "again", "next", "back", "show", "stage", "end")


class Moved(NotPossible):
    """Raised where somebody else moved the ceremony on since."""


class Stage(NamedTuple):
    """What the board shows: the list on stage, by its key, and how many of its rows are revealed."""

    on_stage: int | None
    revealed: int
    running: bool


class Queued(NamedTuple):
    """A list in the queue: how many rows of it are read, and how many were revealed when it was last on stage."""

    pk: int
    rows: int
    revealed: int = 0

    @property
    def stage(self) -> Stage:
        return Stage(self.pk, min(self.revealed, self.rows), True)


def after(stage: Stage, move: Move, queue: Sequence[Queued], to: int | None = None) -> Stage:
    """The stage after a move; `to` is the list that "stage" puts on it. Raises NotPossible.

    A list that comes back on stage shows as much as it did when it left: a step back from the next one must not reveal
    what was skipped.
    """
    if not queue:
        raise NotPossible(_("queue a list first"))
    if move in ("begin", "again"):
        if stage.running:
            raise NotPossible(_("the ceremony has begun already"))
        return Stage(queue[0].pk, 0, True)
    if not stage.running:
        raise NotPossible(_("begin the ceremony first"))
    if move == "end":
        return stage._replace(running=False)
    pks = [queued.pk for queued in queue]
    if move == "stage":
        if to not in pks:
            raise NotPossible(_("that list is not queued any more"))
        return queue[pks.index(to)].stage
    if stage.on_stage not in pks:
        return queue[0].stage
    place = pks.index(stage.on_stage)
    rows = queue[place].rows
    if move == "show":
        return stage._replace(revealed=rows)
    if move == "next":
        if stage.revealed < rows:
            return stage._replace(revealed=stage.revealed + 1)
        if place + 1 == len(queue):
            raise NotPossible(_("that was the last award; end the ceremony when you are ready"))
        return queue[place + 1].stage
    if stage.revealed:
        return stage._replace(revealed=min(stage.revealed, rows) - 1 if rows else 0)
    if place == 0:
        raise NotPossible(_("nothing is revealed yet"))
    return queue[place - 1].stage


@changes
def move_on(contest: Contest, by: str, move: Move, seen: int, to: int | None = None) -> int:
    """Move the ceremony, if `seen` is still its step, and return the new step.

    Raises Moved where it is not; NotPossible before the results are released, and as `after` does.
    """
    take_turn(contest.pk)
    contest.refresh_from_db()
    announced = released(contest)
    if announced is None:
        raise NotPossible(_("the results are not released yet"))
    ceremony, _made = Ceremony.objects.get_or_create(contest=contest)
    before = stage_of(ceremony)
    if ceremony.step != seen:
        raise Moved(_("somebody else moved on meanwhile; nothing was changed"))
    if move == "begin" and seen and not before.running:
        raise NotPossible(_("the ceremony was held already; begin it again only if the results may vanish"))
    made = after(before, move, queue_of(contest, announced.result), to)
    moved = Ceremony.objects.filter(pk=ceremony.pk, step=seen).update(
        award_list=made.on_stage,
        running=made.running,
        step=F("step") + 1,
        was_public=ceremony.was_public or move == "end",
    )
    if not moved:
        raise Moved(_("somebody else moved on meanwhile; nothing was changed"))
    if move in ("begin", "again"):
        contest.award_lists.update(revealed=0)
    if made.on_stage is not None:
        AwardList.objects.filter(pk=made.on_stage).update(revealed=made.revealed)
    BoardChoice.objects.filter(contest=contest).update(shows="", dark=False)
    transaction.on_commit(partial(ask_anew, contest.pk))
    record_change(contest, by, sentence(f"ceremony_{move}"), before._asdict(), made._asdict(), touches=Touches.NOTHING)
    return seen + 1


def stage_of(ceremony: Ceremony | None) -> Stage:
    if ceremony is None:
        return Stage(None, 0, False)
    return Stage(ceremony.award_list_id, ceremony.revealed, ceremony.running)


def queue_of(contest: Contest, result: Result) -> list[Queued]:
    """The queue in its order, with how many rows each list has in a result."""
    return [
        Queued(row.pk, len(rows_of(result, key_of(row), row.places)), row.revealed) for row in contest.award_lists.all()
    ]


def key_of(award_list: AwardList) -> ListKey:
    return ListKey(award_list.division, award_list.code, award_list.kind)

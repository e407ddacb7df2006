"""What the announcer's page shows: the script of the list on stage, and the queue."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.models import Contest
from scoring.announced.held_back import ceremony_of
from scoring.announced.released import Released, released
from scoring.board.awards import AwardRow, NamedList, capitalised, rows_of, split, ties_of
from scoring.board.ceremony import Stage, key_of, stage_of
from scoring.board.choosing import choice_of
from scoring.board.pronunciation import Spoken, spoken_people, spoken_teams
from scoring.board.queue import lists_of
from scoring.core.sets import plain_division
from scoring.models import AwardList


@dataclass(frozen=True, slots=True)
class Cue:
    """One row of the script: what is said, and whether the board shows it."""

    row: AwardRow
    who: Spoken | None
    team: Spoken | None
    members: Sequence[tuple[int, Spoken]]
    tie: str
    revealed: bool

    @property
    def place(self) -> str:
        return capitalised(self.row.place)


@dataclass(frozen=True, slots=True)
class QueuedList:
    """A list in the queue. `named` is None where the results have no such list any more; `typed` was refused."""

    award: AwardList
    named: NamedList | None
    rows: int
    on_stage: bool
    typed: str = ""

    def __str__(self) -> str:
        return str(self.named) if self.named else str(self.award)


@dataclass(frozen=True, slots=True)
class Script:
    """Where the ceremony is. The cues go from the last award to the first; `following` is read next."""

    step: int
    stage: Stage
    is_released: bool
    queue: Sequence[QueuedList]
    others: Sequence[NamedList]
    on_stage: QueuedList | None = None
    cues: Sequence[Cue] = ()
    corrected: str = ""
    is_dark: bool = False

    @property
    def has_ended(self) -> bool:
        return self.step > 0 and not self.stage.running

    @property
    def revealed(self) -> int:
        return sum(cue.revealed for cue in self.cues)

    @property
    def hidden(self) -> int:
        return len(self.cues) - self.revealed

    @property
    def before_showing_all(self) -> str:
        """What is asked before all that is left of a list is shown."""
        return ngettext(
            "{count} place is still to be read. Reveal it?",
            "{count} places are still to be read. Reveal them all at once?",
            self.hidden,
        ).format(count=self.hidden)

    @property
    def before_ending(self) -> str:
        """What is asked before the ceremony ends; empty where everything was read."""
        if not self.following and not self.following_list:
            return ""
        return _("Awards are still to be read. End the ceremony, and show every standing on the board?")

    @property
    def queue_as_shown(self) -> str:
        """Tells two queues apart that would look different on the page."""
        return " ".join(
            f"{queued.award.pk}x{queued.award.places}" + ("*" if queued.on_stage else "") for queued in self.queue
        ) + (" running" if self.stage.running else "")

    @property
    def latest(self) -> Cue | None:
        """The one that the board has just shown."""
        return self.cues[self.revealed - 1] if self.revealed else None

    @property
    def following(self) -> Cue | None:
        """The one to read next."""
        return self.cues[self.revealed] if self.revealed < len(self.cues) else None

    @property
    def following_list(self) -> QueuedList | None:
        """The list after the one on stage."""
        pks = [queued.award.pk for queued in self.queue]
        if self.on_stage is None:
            return None
        place = pks.index(self.on_stage.award.pk) + 1
        return self.queue[place] if place < len(pks) else None


def script_of(contest: Contest, typed: tuple[int, str] | None = None) -> Script:
    """Everything on the page; `typed` is the list, by its key, whose new number of places was refused, and that."""
    announced = released(contest)
    ceremony = ceremony_of(contest)
    stage = stage_of(ceremony)
    known = {named.key: named for named in lists_of(contest)}
    queue = [
        QueuedList(
            row,
            known.get(key_of(row)),
            len(rows_of(announced.result, key_of(row), row.places)) if announced else 0,
            stage.running and row.pk == stage.on_stage,
            typed[1] if typed and typed[0] == row.pk else "",
        )
        for row in contest.award_lists.all()
    ]
    queued = {key_of(row.award) for row in queue}
    others = [named for key, named in known.items() if key not in queued]
    on_stage = next((row for row in queue if row.on_stage), None)
    return Script(
        step=ceremony.step if ceremony else 0,
        stage=stage,
        is_released=announced is not None,
        queue=queue,
        others=others,
        on_stage=on_stage,
        cues=cues(contest, announced, on_stage.award, stage.revealed) if announced and on_stage else (),
        corrected=announced.corrected if announced else "",
        is_dark=choice_of(contest).dark,
    )


def cues(contest: Contest, announced: Released, award: AwardList, revealed: int) -> list[Cue]:
    """The script of one list, from the last award to the first."""
    people, teams = spoken_people(contest, announced.whole), spoken_teams(contest)
    rows = rows_of(announced.result, key_of(award), award.places)
    ties = dict(zip(rows, ties_of(announced.record, announced.result, key_of(award), rows), strict=True))
    hidden, shown = split(rows, revealed)

    def cue(row: AwardRow, is_revealed: bool) -> Cue:
        return Cue(
            row,
            people.get(row.number) if row.number is not None else None,
            (teams.get((plain_division(award.division), row.team)) or Spoken(0, row.team, "")) if row.team else None,
            [(number, people[number]) for number in row.counting if number in people],
            ties[row],
            is_revealed,
        )

    return [*(cue(row, True) for row in reversed(shown)), *(cue(row, False) for row in reversed(hidden))]

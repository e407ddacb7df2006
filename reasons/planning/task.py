"""What is to be planned: who owes which sets, which rooms hear them, and how long things take."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from reasons.planning.clock import DAY, clock_time
from scoring.core.texts import gettext as _


class CannotPlan(ValueError):
    """Raised when no timetable can be made, with what stands in the way in words."""


@dataclass(frozen=True, slots=True)
class Speaker:
    """A contestant and the numbers of the classes they have still to be heard on.

    `team` is empty for somebody without team-mates; `ready` is the minute before which they cannot speak. In the times
    of `busy`, pairs of minutes from and to, they are elsewhere.
    """

    number: int
    classes: tuple[int, ...]
    team: str = ""
    ready: int = 0
    busy: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Room:
    """A reasons room. `classes` None means that it hears every class.

    It hears sets that begin at `opens` or later and end at `closes` or earlier. `last_team` is the team of whoever
    spoke there last. In the times of `busy` whoever hears there is elsewhere.
    """

    name: str
    classes: frozenset[int] | None = None
    opens: int = 0
    closes: int | None = None
    last_team: str = ""
    busy: tuple[tuple[int, int], ...] = ()

    def hears(self, class_number: int) -> bool:
        return self.classes is None or class_number in self.classes


@dataclass(frozen=True, slots=True)
class Timing:
    """When it starts and how long things take, in minutes.

    The first set begins `prepare` minutes after `start`. `breaks` are pairs of minutes after midnight, from and to, in
    which nobody speaks; they count as rest.
    """

    start: int
    minutes: int
    gap: int = 0
    prepare: int = 0
    breaks: tuple[tuple[int, int], ...] = ()

    @property
    def first(self) -> int:
        """The minute before which nobody speaks."""
        return self.start + self.prepare

    @property
    def is_even(self) -> bool:
        """Is the time between an exact number of sets? If not, times between the starts might end the day sooner."""
        return self.gap % self.minutes == 0

    def starts(self) -> Iterator[int]:
        """The minutes at which sets may begin, one set after the other, without end."""
        minute, pauses = self.first, sorted(self.breaks)
        while True:
            for begin, end in pauses:
                if begin < minute + self.minutes:
                    minute = max(minute, end)
            yield minute
            minute += self.minutes

    def start_from(self, minute: int) -> int:
        """The first of the starts that is not before the minute."""
        return next(start for start in self.starts() if start >= minute)


@dataclass(frozen=True, slots=True)
class Task:
    speakers: tuple[Speaker, ...]
    rooms: tuple[Room, ...]
    timing: Timing

    @property
    def sets(self) -> int:
        return sum(len(speaker.classes) for speaker in self.speakers)


def check(task: Task) -> None:
    """Raise CannotPlan where the task contradicts itself or leaves a set without a room."""
    timing = task.timing
    if timing.minutes < 1:
        raise CannotPlan(_("a set takes a minute or more"))
    if min(timing.gap, timing.prepare, timing.start) < 0:
        raise CannotPlan(_("times are not negative"))
    if any(end <= begin for begin, end in timing.breaks):
        raise CannotPlan(_("a break ends after it begins"))
    if task.sets:
        check_breaks(timing, timing.first)
    _once((speaker.number for speaker in task.speakers), _("contestant {name} is there twice"))
    _once((room.name for room in task.rooms), _("room {name} is there twice"))
    for speaker in task.speakers:
        text = _("contestant {number}: class {name} is there twice")
        _once(speaker.classes, text.replace("{number}", str(speaker.number)))
    if task.sets and not task.rooms:
        raise CannotPlan(_("there is no room to hear anybody in"))
    owed = sorted({number for speaker in task.speakers for number in speaker.classes})
    unheard = [str(number) for number in owed if not any(room.hears(number) for room in task.rooms)]
    if unheard:
        raise CannotPlan(_("no room hears class {numbers}").format(numbers=", ".join(unheard)))


def check_breaks(timing: Timing, minute: int) -> None:
    """Raise CannotPlan where the breaks leave no time for a set between the minute and midnight."""
    if minute + timing.minutes <= DAY < timing.start_from(minute) + timing.minutes:
        text = _("the breaks leave no time to speak between {time} and midnight")
        raise CannotPlan(text.format(time=clock_time(minute)))


def _once(names: Iterable[object], text: str) -> None:
    twice = [name for name, count in Counter(names).items() if count > 1]
    if twice:
        raise CannotPlan(text.format(name=twice[0]))

"""Who speaks in which reasons room, and when: a timetable as short as the sets, the rooms and the rests allow.

Pure Python: no Django, no clock but the one that limits the search. Times are whole minutes after midnight.

The laws of a timetable:

1. A contestant is heard exactly once on each class that they owe a set on, by a room that hears that class.
2. Nobody is in two places, and everybody has the asked-for minutes between the end of a set and the start of the next.
   Whoever is elsewhere at some times, speaking or hearing in another contest, has no set in them.
3. A room hears one set at a time, while it is open and outside the breaks.
4. Team-mates do not follow one another in a room, whatever lies between them, where that can be helped without making
   the day longer by more than half an hour for each.
5. No room idles while somebody could speak: no set can be moved alone into an earlier free place under these laws.
6. The last set ends as early as possible. Sets begin one set's length after another: the bound is of such times.

Planned again in the middle of the day, the fifth gives way: the last set ends as early as possible, and then as few
sets as possible move, although a room may wait for a moment.

With equal sets and no rests this is the edge colouring of a bipartite graph, contestants on one side and rooms on the
other, and the largest load is reached (`colouring`). With rests it is a scheduling problem without such a formula: a
timetable is built slot by slot (`building`), mended by chains of moves (`mending`), and, where it is small, searched
through to the end (`searching`). `bounds` says what no timetable can beat. In the middle of the day it is planned
around what has happened (`again`), close to the timetable in force (`keeping`, `few_moves`).
"""

from reasons.planning.again import Happened, Move, around, moves, on_deck
from reasons.planning.bounds import lower_bound
from reasons.planning.plan import Bound, Plan, PlannedSet
from reasons.planning.planner import plan
from reasons.planning.rooms import keep_classes
from reasons.planning.task import CannotPlan, Room, Speaker, Task, Timing

__all__ = [
    "Bound",
    "CannotPlan",
    "Happened",
    "Move",
    "Plan",
    "PlannedSet",
    "Room",
    "Speaker",
    "Task",
    "Timing",
    "around",
    "keep_classes",
    "lower_bound",
    "moves",
    "on_deck",
    "plan",
]

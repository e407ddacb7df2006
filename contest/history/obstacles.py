"""What stands in the way of taking a change back, in words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from django.db.models import ForeignKey, Model
from django.utils.timezone import localtime
from django.utils.translation import gettext, gettext_noop, ngettext

from contest.models import (
    ChoiceReading,
    ClassDivision,
    Contest,
    Contestant,
    JudgingClass,
    MarkReading,
    Part,
    Reading,
    ReasonsReading,
    RowChange,
    TrailEntry,
)
from contest.row_changes.values import RowValues
from contest.trail.entries import EntryWithNames, named_entries

READINGS: tuple[Any, ...] = (Reading, MarkReading, ReasonsReading, ChoiceReading)
SHAPING = {Contestant: {"number", "division_id"}, JudgingClass: {"places"}}
"""Columns that say what may be read of a row; what was read since under the new ones would belong nowhere."""
LINKS: dict[type[Model], tuple[type[Model], str]] = {
    ClassDivision: (JudgingClass, "judging_class_id"),
    Part.divisions.through: (Part, "part_id"),
}
"""Rows that say of another row what may be read of it: of which model it is, and the column with its key."""
MOST_TOLD = 3

CHANGED, ENTERED, READ = "changed", "entered", "read"
SINCE = {
    CHANGED: (gettext_noop("{rows} was changed since"), gettext_noop("{rows} were changed since")),
    ENTERED: (gettext_noop("{rows} was entered since"), gettext_noop("{rows} were entered since")),
    READ: (gettext_noop("{rows} was read since"), gettext_noop("{rows} were read since")),
}
"""What happened to one row, or to several."""

CALLED = {
    "contest": gettext_noop("a contest"),
    "division": gettext_noop("a division"),
    "category": gettext_noop("a category"),
    "resultset": gettext_noop("a set of results"),
    "setmember": gettext_noop("who is in a set of results"),
    "judgingclass": gettext_noop("a class"),
    "classdivision": gettext_noop("a class division"),
    "part": gettext_noop("a part"),
    "part_divisions": gettext_noop("a part-division relationship"),
    "tiestep": gettext_noop("a tie step"),
    "tiedecision": gettext_noop("a tie that was decided"),
    "team": gettext_noop("a team"),
    "contestant": gettext_noop("a contestant"),
    "key": gettext_noop("the key"),
    "keydispute": gettext_noop("the key"),
    "key_agreed_by": gettext_noop("the key"),
    "committeeofficial": gettext_noop("an official of the committee"),
    "committeeseat": gettext_noop("a seat on the committee"),
    "committeekey": gettext_noop("what an official of the committee handed in"),
    "reading": gettext_noop("a reading"),
    "card": gettext_noop("a card"),
    "markreading": gettext_noop("a mark reading"),
    "mark": gettext_noop("a mark"),
    "partkey": gettext_noop("the key of a part"),
    "choicereading": gettext_noop("a reading of a choice"),
    "choice": gettext_noop("a choice"),
    "reasonsofficial": gettext_noop("a reasons official"),
    "reasonsreading": gettext_noop("a reasons reading"),
    "reasonsscore": gettext_noop("a reasons score"),
    "reasonsday": gettext_noop("a reasons day"),
    "room": gettext_noop("a room"),
    "room_officials": gettext_noop("a room-reasonsofficial relationship"),
    "room_classes": gettext_noop("a room-judgingclass relationship"),
    "slot": gettext_noop("a slot"),
    "pairnote": gettext_noop("a pair note"),
    "keyrelease": gettext_noop("a key release"),
    "takehomelink": gettext_noop("a take home link"),
    "nextlist": gettext_noop("a list for the next level"),
    "notcoming": gettext_noop("who does not go on"),
    "stackclaim": gettext_noop("a stack claim"),
    "setnote": gettext_noop("a set note"),
    "wavedmixup": gettext_noop("what seemed mixed up and was left"),
    "scanrules": gettext_noop("how cards are read by scanner"),
    "scannedcard": gettext_noop("a scanned card"),
}
"""A row of each kept table, by the name of its model."""

BESIDE = {
    "accommodation": gettext_noop("what a contestant needs"),
    "awardlist": gettext_noop("an award list"),
    "boardchoice": gettext_noop("what was chosen for the board"),
    "broughtfile": gettext_noop("a file that was brought"),
    "cardpicture": gettext_noop("the picture of a card"),
    "ceremony": gettext_noop("a ceremony"),
    "eventcontest": gettext_noop("a day of several contests"),
    "eventperson": gettext_noop("who somebody is in another contest of a day"),
    "helper": gettext_noop("a helper"),
    "joincode": gettext_noop("a join code"),
    "lastprints": gettext_noop("what was printed last"),
    "permit": gettext_noop("who may what in a contest"),
    "printjob": gettext_noop("a printed file"),
    "protest": gettext_noop("a protest"),
    "protestwindow": gettext_noop("a time for protests"),
    "release": gettext_noop("a release"),
    "ribbon": gettext_noop("a ribbon"),
    "scan": gettext_noop("pages that were scanned"),
    "timetablesearch": gettext_noop("a draft of a timetable"),
}
"""A row of each table that is not kept and refers to one that is."""

Where = tuple[type[Model], int]
"""A row: its model and key."""


class Undone(NamedTuple):
    """What would be put back where: the row as it was before the change (None: there was none), and as it is."""

    before: RowValues | None
    now: RowValues | None


class Since:
    """What happened to a contest's rows after a revision, and was not taken back after it either."""

    def __init__(self, contest: Contest, revision: int) -> None:
        self._contest = contest
        self._changes: defaultdict[tuple[str, int], list[tuple[int, str]]] = defaultdict(list)
        rows = RowChange.objects.filter(contest=contest, revision__gt=revision).order_by("pk")
        for table, row, later, kind in rows.values_list("of_table", "row", "revision", "kind").iterator(10_000):
            assert later is not None  # what is not stamped is after no revision
            self._changes[table, row].append((later, kind))
        self._partners = _partners(contest, revision)

    def changed(self, where: Where, revision: int) -> int | None:
        """The first change of a row after a revision."""
        model, key = where
        changes = self._changes.get((model._meta.db_table, key), ())
        return next((later for later, _ in self._in_force(changes, revision)), None)

    def inserted(self, model: type[Model], revision: int) -> dict[int, int]:
        """The rows of a model that were inserted after a revision, each with the change that did."""
        table = model._meta.db_table
        return {
            row: later
            for (of_table, row), changes in self._changes.items()
            if of_table == table
            for later, kind in self._in_force(changes, revision)
            if kind == "insert"
        }

    def _in_force(self, changes: Sequence[tuple[int, str]], revision: int) -> Iterator[tuple[int, str]]:
        """Those changes of one row after a revision that do not cancel each other."""
        revisions = {later for later, _ in changes}
        for later, kind in changes:
            partner = self._partners.get(later, 0)
            if later > revision and not (partner > revision and partner in revisions):
                yield later, kind

    def reasons_why(self, changes: Iterable[tuple[int | None, Where, str]]) -> list[str]:
        """What happened, by the change that did it: `contestant 214 was changed since, at 10:42 by Ann`."""
        by_change: dict[tuple[int | None, str], list[Where]] = {}
        for later, where, verb in changes:
            by_change.setdefault((later, verb), []).append(where)
        some = list(by_change.items())[:MOST_TOLD]
        entries = TrailEntry.objects.filter(contest=self._contest, revision__in=[later for (later, _), _ in some])
        known = {entry.revision: entry for entry in named_entries(entries)}
        lines = [_since(rows_of, verb, known.get(later or 0)) for (later, verb), rows_of in some]
        if more := len(by_change) - len(some):
            text = ngettext(
                "and {count} later change of the same rows", "and {count} later changes of the same rows", more
            )
            lines.append(text.format(count=more))
        return lines


def _partners(contest: Contest, revision: int) -> dict[int, int]:
    """Of the changes after a revision, each that took one back and the one that it took back, to each other."""
    partners: dict[int, int] = {}
    took_back = TrailEntry.objects.filter(contest=contest, revision__gt=revision, what="taken_back")
    for later, after in took_back.order_by("-revision").values_list("revision", "after"):
        if later not in partners and after:  # or it was taken back itself, and what it took back is in force again
            partners |= {later: after["revision"], after["revision"]: later}
    return partners


def built_on(undone: dict[Where, Undone], since: Since, revision: int) -> list[str]:
    """What stands in the way of putting these rows back."""
    changed = [(later, where, CHANGED) for where in undone if (later := since.changed(where, revision)) is not None]
    if changed:
        return since.reasons_why(changed)
    changed = [*_refer_to_what_goes(undone, since, revision), *_read_under_the_new_shape(undone, since, revision)]
    return [*since.reasons_why(dict.fromkeys(changed)), *_parents_gone(undone), *_places_taken(undone)]


def _refer_to_what_goes(undone: dict[Where, Undone], since: Since, revision: int) -> Iterator[Any]:
    for model, keys in _by_model(where for where, row in undone.items() if row.before is None).items():
        for relation in model._meta.related_objects:
            other = relation.related_model
            rows = other._base_manager.filter(**{f"{relation.field.name}__in": keys}).values_list("pk", flat=True)
            inserted = since.inserted(other, revision)
            for key in rows:
                if (other, key) not in undone:
                    yield inserted.get(key), (other, key), ENTERED if other not in READINGS else READ


def _read_under_the_new_shape(undone: dict[Where, Undone], since: Since, revision: int) -> Iterator[Any]:
    shaped: set[Where] = set()
    for (model, key), (before, now) in undone.items():
        if model in LINKS:
            parent, link = LINKS[model]
            shaped.add((parent, (before or now or {})[link]))
        elif before and now and any(before[column] != now[column] for column in SHAPING.get(model, ())):
            shaped.add((model, key))
    for model, keys in _by_model(shaped).items():
        for reading in READINGS:
            fields = [field.name for field in reading._meta.concrete_fields if field.related_model is model]
            inserted = since.inserted(reading, revision)
            for field in fields if inserted else ():
                rows = reading._base_manager.filter(**{f"{field}__in": keys}, pk__in=list(inserted))
                for key in rows.values_list("pk", flat=True):
                    yield inserted[key], (reading, key), READ


def _parents_gone(undone: dict[Where, Undone]) -> list[str]:
    """What a row belonged to may have been removed since."""
    asked: defaultdict[type[Model], set[int]] = defaultdict(set)
    for (model, _), (before, _) in undone.items():
        for field in model._meta.concrete_fields:
            if before and isinstance(field, ForeignKey) and before.get(field.column) is not None:
                asked[field.remote_field.model].add(before[field.column])
    for model, keys in asked.items():
        there = set(model._base_manager.filter(pk__in=keys).values_list("pk", flat=True))
        for key in keys:
            back = undone.get((model, key))
            if (key not in there and not (back and back.before)) or (back and back.before is None):
                return [gettext("{row} that it belongs to was removed since").format(row=_a(model))]
    return []


def _places_taken(undone: dict[Where, Undone]) -> list[str]:
    """Somebody else may have the number, or something else the name, that a row had."""
    taken = []
    for model, keys in _by_model(where for where, row in undone.items() if row.before).items():
        for constraint in model._meta.total_unique_constraints:
            columns = [model._meta.get_field(name).column for name in constraint.fields]
            rows = [row for key in keys if (row := undone[model, key].before)]
            wanted = {tuple(row[column] for column in columns): row for row in rows}
            first = {values[0] for values in wanted}
            others = model._base_manager.filter(**{f"{constraint.fields[0]}__in": first}).exclude(pk__in=keys)
            for values in others.values_list("pk", *constraint.fields):
                gone = undone.get((model, values[0]))
                if values[1:] in wanted and not (gone and gone.before is None):
                    called = named(model, wanted[values[1:]])
                    taken.append(gettext("{row} is somebody or something else by now").format(row=called))
    return taken[:MOST_TOLD]


def _by_model(rows: Iterable[Where]) -> dict[Any, list[int]]:
    keys: dict[Any, list[int]] = {}
    for model, key in rows:
        keys.setdefault(model, []).append(key)
    return keys


def _since(rows: list[Where], verb: str, entry: EntryWithNames | None) -> str:
    """What happened to some rows, of which the first is called by name, and when and by whom where that is known."""
    model, key = rows[0]
    called = named(model, model._base_manager.filter(pk=key).values().first() or {})
    if others := len(rows) - 1:
        called = ngettext("{row} and {count} more", "{row} and {count} more", others).format(row=called, count=others)
    one, several = SINCE[verb]
    happened = gettext(several if others else one).format(rows=called)
    if entry is None:
        return happened
    text = gettext("{happened}, at {time} by {name}")
    return text.format(happened=happened, time=f"{localtime(entry.at):%H:%M}", name=entry.by)


def named(model: Any, row: RowValues) -> str:
    """A row in words, without any name of a person."""
    if model in (Contestant, JudgingClass) and row:
        text = gettext("contestant {number}") if model is Contestant else gettext("class {number}")
        return text.format(number=row["number"])
    if model is Reading and row:
        return gettext("a card of {number}").format(number=row["number"])
    noun = _a(model)
    if about := row.get("contestant_id"):
        number = Contestant.objects.filter(pk=about).values_list("number", flat=True).first()
        noun = gettext("{row} of {number}").format(row=noun, number=number)
    if judged := row.get("judging_class_id"):
        number = JudgingClass.objects.filter(pk=judged).values_list("number", flat=True).first()
        noun = gettext("{row} in class {number}").format(row=noun, number=number)
    return f"{noun} {row['code']}" if row.get("code") and model._meta.model_name in CALLED else noun


def _a(model: Any) -> str:
    """A row of a model, as people call it."""
    return gettext((CALLED | BESIDE)[model._meta.model_name])

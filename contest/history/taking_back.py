"""Taking a change back: what its rows were before is put in their place, as a change of its own.

Nothing of what happened is rewritten: the trail gets a new entry. It can be done while each row is as that change left
it and nothing was built on it since (`contest.history.obstacles`), and it is one transaction.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Model
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.history.obstacles import READINGS, Since, Undone, Where, built_on
from contest.history.restoring import put_back
from contest.models import CommitteeKey, Contest, Key, KeyDispute, PartKey, RowChange, TrailEntry
from contest.row_changes.stamping import COLUMNS, KeptRow
from contest.row_changes.tables import recorded
from contest.row_changes.values import row_of
from contest.trail import record_change, sentence
from contest.trail.sentences import Sentence

KEYS: tuple[Any, ...] = (Key, KeyDispute, Key.agreed_by.through, CommitteeKey, PartKey)


def can_be_taken_back(entry: TrailEntry, since: Since | None = None) -> list[str]:
    """What stands in the way of taking a change back, in words; empty where nothing does.

    `since` is what happened after the change or an earlier one, to ask about several changes at the cost of one.
    """
    _undone, reasons = _looked_at(entry, since)
    return reasons


@changes
def take_back_change(entry: TrailEntry, by: str) -> int:
    """Take a change back and return the contest's new revision. Raises NotPossible where anything is in the way."""
    assert entry.contest is not None
    take_turn(entry.contest.pk)
    undone, reasons = _looked_at(entry)
    if reasons:
        raise NotPossible("; ".join(reasons))
    try:
        with transaction.atomic():
            put_back(undone)
    except IntegrityError:
        raise NotPossible(_("something else stands where it was")) from None
    what = sentence("taken_back", entry=Sentence(entry.what, entry.values))
    after = {"revision": entry.revision}
    return record_change(entry.contest, by, what, after=after)


def newest_first(contest: Contest, most: int) -> list[tuple[TrailEntry, list[str]]]:
    """The last changes of the set-up and the entries, each with what stands in the way of taking it back."""
    refused = [model._meta.db_table for model in (*READINGS, *KEYS)]
    changed = RowChange.objects.filter(contest=contest)
    never = changed.filter(kind=RowChange.Kind.INSERT, of_table__in=refused).values("revision")
    revisions = changed.exclude(revision__in=never).values_list("revision", flat=True).distinct()
    entries = list(contest.trail.filter(revision__in=revisions.order_by("-revision")[:most]).order_by("-revision"))
    if not entries:
        return []
    since = Since(contest, entries[-1].revision)
    return [(entry, can_be_taken_back(entry, since)) for entry in entries]


def _looked_at(entry: TrailEntry, since: Since | None = None) -> tuple[dict[Where, Undone], list[str]]:
    """The rows that would be put back, and what stands in the way of that."""
    if entry.contest is None:
        return {}, [_("it changed no contest")]
    kept = RowChange.objects.filter(contest=entry.contest_id, revision=entry.revision).order_by("pk")
    rows = list(map(KeptRow._make, kept.values_list(*COLUMNS)))
    if not rows:
        return {}, [_("nothing is kept of what it changed")]
    if any(row.digest for row in rows):
        return {}, [_("names were made anonymous since")]
    undone = _undone(rows)
    if refused := _never(undone):
        return undone, refused
    return undone, built_on(undone, since or Since(entry.contest, entry.revision), entry.revision)


def _undone(rows: Iterable[KeptRow]) -> dict[Where, Undone]:
    """Each row that a change altered, as it was before the change and as it is now."""
    models = {model._meta.db_table: model for model, *_ in recorded()}
    before: dict[Where, Any] = {}
    for row in rows:
        model = models[row.of_table]
        before.setdefault((model, row.row), row.before and row_of(model, row.before))
    now: dict[Where, Any] = {}
    for model in {model for model, _key in before}:
        keys = [key for owner, key in before if owner is model]
        now |= {(model, row["id"]): row for row in _rows(model, keys)}
    both = {where: Undone(was, now.get(where)) for where, was in before.items()}
    return {where: row for where, row in both.items() if row.before or row.now}  # others came and went within it


def _rows(model: type[Model], keys: list[int]) -> Iterable[dict[str, Any]]:
    columns = [field.attname for field in model._meta.local_concrete_fields]
    for start in range(0, len(keys), 500):
        yield from model._base_manager.filter(pk__in=keys[start : start + 500]).values(*columns)


def _never(undone: dict[Where, Undone]) -> list[str]:
    """What is never taken back like this, because there is another way that leaves more to see."""
    made = {model for (model, _), row in undone.items() if row.before is None}
    if made & set(READINGS):
        return [_("what was read stays; set a reading aside on the page of its card or slip")]
    if CommitteeKey in made:
        return [_("what an official handed in is changed by handing in another")]
    if made & set(KEYS):
        return [_("a key is changed by handing in another, on its class's page of the keys")]
    return []

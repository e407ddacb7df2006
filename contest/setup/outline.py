"""Divisions, categories and parts: adding, changing and removing them, and the order they stand in.

Every function raises WrongValue for a value that cannot be, ChangedMeanwhile where `mark` (see `rows.seen`) is no
longer true, and InUse for what cannot go because something uses it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from contest.changes import changes, take_turn
from contest.changes.exceptions import ChangedMeanwhile, InUse, NotPossible, WrongValue
from contest.models import Category, ClassDivision, Contest, Division, JudgingClass, Part, TieStep
from contest.setup.rows import CATEGORY, DIVISION, PLAIN_PART, Row, check_seen, next_position, said, write_down
from contest.setup.uses import highest_mark, part_uses, printed_hundredths, tie_uses, uses_of
from contest.trail import record_change
from scoring.core.record import HUNDREDTHS
from scoring.core.result import OVERALL, PLACING, REASONS

LIST_NAMES = (OVERALL, PLACING, REASONS)


@changes
def add_division(contest: Contest, by: str, **values: Any) -> Division:
    take_turn(contest.pk)
    _refuse_code_twice(contest.divisions, "division", values["code"])
    position = next_position(contest.divisions)
    division = Division.objects.create(contest=contest, position=position, **values)
    record_change(contest, by, f"division {division.code} added", after=said(division))
    return division


@changes
def change_division(division: Division, by: str, mark: str | None = None, **values: Any) -> Division:
    division = fresh(division)
    before = said(division)
    check_seen(before, mark)
    _refuse_code_twice(division.contest.divisions.exclude(pk=division.pk), "division", values.get("code"))
    _set(division, values, DIVISION)
    write_down(division.contest, by, f"division {before['code']} changed", before, said(division))
    return division


@changes
def remove_division(division: Division, by: str) -> None:
    """Remove a division without contestants; classes and parts go on without it."""
    division = fresh(division)
    _refuse_use(division, f"division {division.code}")
    before = said(division)
    contest = division.contest
    ClassDivision.objects.filter(division=division).delete()
    division.parts.clear()
    division.teams.all().delete()
    division.delete()
    record_change(contest, by, f"division {before['code']} removed", before=before)


@changes
def add_category(contest: Contest, by: str, **values: Any) -> Category:
    take_turn(contest.pk)
    _refuse_list_name(values["code"])
    _refuse_code_twice(contest.categories, "category", values["code"])
    category = Category.objects.create(contest=contest, position=next_position(contest.categories), **values)
    record_change(contest, by, f"category {category.code} added", after=said(category))
    return category


@changes
def change_category(category: Category, by: str, mark: str | None = None, **values: Any) -> Category:
    category = fresh(category)
    before = said(category)
    check_seen(before, mark)
    _refuse_list_name(values.get("code", ""))
    _refuse_code_twice(category.contest.categories.exclude(pk=category.pk), "category", values.get("code"))
    _set(category, values, CATEGORY)
    write_down(category.contest, by, f"category {before['code']} changed", before, said(category))
    return category


@changes
def remove_category(category: Category, by: str) -> None:
    category = fresh(category)
    _refuse_use(category, f"category {category.code}")
    before, contest = said(category), category.contest
    category.delete()
    record_change(contest, by, f"category {before['code']} removed", before=before)


@changes
def add_part(contest: Contest, by: str, **values: Any) -> Part:
    """`values` as `said` gives them: `category` is a code or empty, `divisions` are codes."""
    take_turn(contest.pk)
    _refuse_code_twice(contest.parts, "part", values["code"])
    part = Part(contest=contest, position=next_position(contest.parts))
    _set_part(part, values)
    record_change(contest, by, f"part {part.code} added", after=said(part))
    return part


@changes
def change_part(part: Part, by: str, mark: str | None = None, **values: Any) -> Part:
    part = fresh(part)
    before = said(part)
    check_seen(before, mark)
    _refuse_code_twice(part.contest.parts.exclude(pk=part.pk), "part", values.get("code"))
    now = before | values
    if now["scope"] != part.scope:
        if uses := part_uses(part):
            raise WrongValue("scope", f"this cannot change: {uses[0]}")
        if now["scope"] == Part.Scope.TEAM and (uses := tie_uses(part=part, scope=TieStep.Scope.INDIVIDUAL)):
            raise WrongValue("scope", uses[0])
    highest = highest_mark(part)
    if highest is not None and highest > now["most"] * HUNDREDTHS:
        raise WrongValue("most", f"a mark of {printed_hundredths(highest)} is entered; the most cannot be below it")
    gone = part.divisions.exclude(code__in=now["divisions"])
    for division in gone:
        if uses := part_uses(part, [division]):
            raise WrongValue("divisions", f"{division} cannot be left out: {uses[0]}")
    _set_part(part, now)
    write_down(part.contest, by, f"part {before['code']} changed", before, said(part))
    return part


@changes
def remove_part(part: Part, by: str) -> None:
    part = fresh(part)
    _refuse_use(part, f"part {part.code}")
    before, contest = said(part), part.contest
    part.delete()
    record_change(contest, by, f"part {before['code']} removed", before=before)


@changes
def set_order(rows: Iterable[Row], order: Sequence[int], by: str, seen_order: Sequence[int] | None = None) -> None:
    """Put all divisions, categories, classes or parts of a contest in a new order, given by their keys.

    The order of the lists in the standings follows it. Raises ChangedMeanwhile where `seen_order`, the order that the
    page showed, is no longer true, and NotPossible where `order` is not an order of these rows.
    """
    found = list(rows)
    if not found:
        raise NotPossible("there is nothing to put in order")
    contest = found[0].contest
    take_turn(contest.pk)
    model = type(found[0])
    now = list(model.objects.filter(contest=contest))
    keys = [row.pk for row in now]
    if seen_order is not None and list(seen_order) != keys:
        raise ChangedMeanwhile({"order": keys})
    if sorted(order) != sorted(keys):
        raise NotPossible("that order leaves something out, or names something twice")
    if list(order) == keys:
        return
    names = {row.pk: str(row.number) if isinstance(row, JudgingClass) else row.code for row in now}
    for position, key in enumerate(order):
        model.objects.filter(pk=key).update(position=position)
    before, after = ([names[key] for key in some] for some in (keys, order))
    record_change(contest, by, f"order of the {model._meta.verbose_name_plural} changed", before=before, after=after)


def fresh(row: Any) -> Any:
    """The row as the database has it now, with the contest to itself until the change is made."""
    take_turn(row.contest_id)
    found = type(row).objects.select_related("contest").filter(pk=row.pk).first()
    if found is None:
        raise NotPossible(f"{row} has been removed meanwhile")
    return found


def category_of(contest: Contest, code: str) -> Category | None:
    if not code:
        return None
    found = contest.categories.filter(code=code).first()
    if found is None:
        raise WrongValue("category", f"there is no category {code!r}")
    return found


def divisions_of(contest: Contest, codes: Sequence[str], field: str) -> list[Division]:
    """The divisions of these codes, in the contest's order."""
    found = list(contest.divisions.filter(code__in=codes))
    if missing := set(codes) - {division.code for division in found}:
        raise WrongValue(field, f"there is no division {min(missing)!r}")
    return found


def _set(row: Division | Category, values: dict[str, Any], fields: tuple[str, ...]) -> None:
    for name in fields:
        if name in values:
            setattr(row, name, values[name])
    row.save(update_fields=list(fields))


def _set_part(part: Part, values: dict[str, Any]) -> None:
    for name in PLAIN_PART:
        setattr(part, name, values[name])
    part.category = category_of(part.contest, values["category"])
    divisions = divisions_of(part.contest, values["divisions"], "divisions")
    part.save()
    part.divisions.set(divisions)


def _refuse_code_twice(others: Any, what: str, code: str | None) -> None:
    if code is not None and others.filter(code=code).exists():
        raise WrongValue("code", f"{what} {code} is there already; give this one another code")


def _refuse_list_name(code: str) -> None:
    if code.lower() in LIST_NAMES:
        raise WrongValue("code", f"{code!r} is already the name of a list; give the category another code")


def _refuse_use(row: Row, what: str) -> None:
    if uses := uses_of(row):
        raise InUse(what, uses)

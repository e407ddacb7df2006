"""The four kinds of rows that a contest's outline is made of, and all that sets one apart from the others.

What is done to every kind alike, adding, changing and removing a row, is done by `contest.setup.outline`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar, Generic, TypeVar

from contest.changes.exceptions import WrongValue
from contest.models import Category, ClassDivision, Contest, Division, JudgingClass, Part, TieStep
from contest.setup.uses import (
    category_uses,
    class_uses,
    division_in_class_uses,
    division_uses,
    goes_with_division,
    highest_mark,
    part_uses,
    reasons_of_division_uses,
    tie_uses,
)
from contest.setup.values import OutlineRow, Values, plain_values
from contest.slips.resettling import resettle_class
from scoring.core.points import figure_of_hundredths
from scoring.core.record import HUNDREDTHS
from scoring.core.result import OVERALL, PLACING, REASONS

Row = TypeVar("Row", bound=OutlineRow)
InCategory = TypeVar("InCategory", bound=JudgingClass | Part)
LIST_NAMES = (OVERALL, PLACING, REASONS)


class RowKind(Generic[Row]):
    """What is the same for most kinds. `plain` are the row's own settings; the first is what it is called by."""

    model: type[Row]
    plain: ClassVar[tuple[str, ...]]

    def __init__(self) -> None:
        """`name` as addresses and `Contest` call the rows; `one` as people do."""
        self.name, self.one = str(self.model._meta.verbose_name_plural), str(self.model._meta.verbose_name)

    def called(self, row: Row) -> str:
        """Such as `division SR` and `class 3`."""
        return f"{self.one} {getattr(row, self.plain[0])}"

    def values_of(self, row: Row) -> Values:
        """The settings of a row as JSON holds them; divisions and categories by their codes."""
        return plain_values(row, self.plain)

    def write(self, row: Row, values: Values) -> None:
        """Save a row with all its settings, as `values_of` gives them."""
        for name in self.plain:
            setattr(row, name, values[name])
        row.save()

    def check(self, row: Row, values: Values) -> None:
        """Raise WrongValue where a row, which may be a new one, cannot have these settings."""

    def settle(self, row: Row) -> None:
        """What else follows from a change."""

    def uses(self, row: Row) -> list[str]:
        """What keeps a row from being removed, in words; empty where nothing does."""
        raise NotImplementedError

    def instead(self, row: Row) -> list[str]:
        """What can be done with a row that is in use."""
        return []

    def goes_with(self, row: Row) -> list[str]:
        """What else changes when an unused row is removed, in words."""
        return []

    def remove_what_holds_on(self, row: Row) -> None:
        """Remove what holds on to an unused row."""


class _Divisions(RowKind[Division]):
    model = Division
    plain = ("code", "name", "team_counting", "short_team", "counting_members")

    def uses(self, row: Division) -> list[str]:
        return division_uses(row)

    def goes_with(self, row: Division) -> list[str]:
        return goes_with_division(row)

    def remove_what_holds_on(self, row: Division) -> None:
        ClassDivision.objects.filter(division=row).delete()
        row.parts.clear()
        row.teams.all().delete()


class _Categories(RowKind[Category]):
    model = Category
    plain = ("code", "name")

    def check(self, row: Category, values: Values) -> None:
        if values["code"].lower() in LIST_NAMES:
            reason = f"{values['code']!r} is already the name of a list; give the category another code"
            raise WrongValue("code", reason)

    def uses(self, row: Category) -> list[str]:
        return [*category_uses(row), *tie_uses(category=row)]


class _InCategory(RowKind[InCategory]):
    """Classes and parts: both may belong to a category, and divisions do them."""

    def values_of(self, row: InCategory) -> Values:
        return super().values_of(row) | {"category": row.category.code if row.category else ""}

    def write(self, row: InCategory, values: Values) -> None:
        code = values["category"]
        row.category = row.contest.categories.filter(code=code).first() if code else None
        if code and row.category is None:
            raise WrongValue("category", f"there is no category {code!r}")
        divisions = _divisions_of(row.contest, values["divisions"])
        super().write(row, values)
        self.write_divisions(row, divisions, values)

    def write_divisions(self, row: InCategory, divisions: list[Division], values: Values) -> None:
        raise NotImplementedError


class _Classes(_InCategory[JudgingClass]):
    model = JudgingClass
    plain = ("number", "name", "places", "perfect")

    def values_of(self, row: JudgingClass) -> Values:
        judging = list(row.class_divisions.select_related("division").order_by("division__position", "division_id"))
        return super().values_of(row) | {
            "divisions": [judges.division.code for judges in judging],
            "reasons": [judges.division.code for judges in judging if judges.gives_reasons],
        }

    def write_divisions(self, row: JudgingClass, divisions: list[Division], values: Values) -> None:
        before = dict(row.class_divisions.values_list("division_id", "gives_reasons"))
        after = {division.pk: division.code in values["reasons"] for division in divisions}
        if before != after:
            # Made anew, so that their own order is the contest's order of divisions.
            row.class_divisions.all().delete()
            ClassDivision.objects.bulk_create(
                ClassDivision(judging_class=row, division_id=key, gives_reasons=gives) for key, gives in after.items()
            )

    def check(self, row: JudgingClass, values: Values) -> None:
        for code in values["reasons"]:
            if code not in values["divisions"]:
                raise WrongValue("reasons", f"division {code} gives reasons on this class but does not judge it")
        if row._state.adding:
            return
        if row.places and not values["places"]:
            for uses in (class_uses(row), tie_uses(judging_class=row)):
                if uses:
                    raise WrongValue("places", f"this class must go on giving placing scores: {uses[0]}")
        for division in row.divisions.exclude(code__in=values["divisions"]):
            if uses := division_in_class_uses(row, division):
                raise WrongValue("divisions", f"{division} cannot be taken out: {uses[0]}")
        for judges in row.class_divisions.filter(gives_reasons=True).exclude(division__code__in=values["reasons"]):
            if uses := reasons_of_division_uses(row, judges.division):
                raise WrongValue("reasons", f"{judges.division} must go on giving reasons: {uses[0]}")

    def settle(self, row: JudgingClass) -> None:
        resettle_class(row)

    def uses(self, row: JudgingClass) -> list[str]:
        return [*class_uses(row), *tie_uses(judging_class=row)]

    def instead(self, row: JudgingClass) -> list[str]:
        return ["make it void instead"] if class_uses(row) else []

    def remove_what_holds_on(self, row: JudgingClass) -> None:
        row.claims.all().delete()  # stacks taken and given back, with nothing read


class _Parts(_InCategory[Part]):
    model = Part
    plain = ("code", "name", "most", "scope")

    def values_of(self, row: Part) -> Values:
        return super().values_of(row) | {"divisions": [division.code for division in row.divisions.all()]}

    def write_divisions(self, row: Part, divisions: list[Division], values: Values) -> None:
        row.divisions.set(divisions)

    def check(self, row: Part, values: Values) -> None:
        if row._state.adding:
            return
        if values["scope"] != row.scope:
            if uses := part_uses(row):
                raise WrongValue("scope", f"this cannot change: {uses[0]}")
            if values["scope"] == Part.Scope.TEAM and (uses := tie_uses(part=row, scope=TieStep.Scope.INDIVIDUAL)):
                raise WrongValue("scope", uses[0])
        highest = highest_mark(row)
        if highest is not None and highest > values["most"] * HUNDREDTHS:
            raise WrongValue(
                "most", f"a mark of {figure_of_hundredths(highest)} is entered; the most cannot be below it"
            )
        for division in row.divisions.exclude(code__in=values["divisions"]):
            if uses := part_uses(row, [division]):
                raise WrongValue("divisions", f"{division} cannot be left out: {uses[0]}")

    def uses(self, row: Part) -> list[str]:
        return [*part_uses(row), *tie_uses(part=row)]


DIVISIONS, CATEGORIES, CLASSES, PARTS = _Divisions(), _Categories(), _Classes(), _Parts()
KINDS: dict[str, RowKind[Any]] = {kind.name: kind for kind in (DIVISIONS, CATEGORIES, CLASSES, PARTS)}


def kind_of(row: OutlineRow) -> RowKind[Any]:
    return KINDS[str(row._meta.verbose_name_plural)]


def _divisions_of(contest: Contest, codes: Sequence[str]) -> list[Division]:
    """The divisions of these codes, in the contest's order."""
    divisions = list(contest.divisions.filter(code__in=codes))
    if missing := set(codes) - {division.code for division in divisions}:
        raise WrongValue("divisions", f"there is no division {min(missing)!r}")
    return divisions

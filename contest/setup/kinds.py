"""The kinds of rows that a contest's outline is made of, and all that sets one apart from the others.

What is done to every kind alike, adding, changing and removing a row, is done by `contest.setup.outline`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar, Generic, TypeVar

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, ngettext

from contest.changes.exceptions import WrongValue
from contest.models import Category, ClassDivision, Contest, Division, JudgingClass, Part, ResultSet, SetMember, TieStep
from contest.records.answers import questions_of
from contest.setup.questions import check_questions
from contest.setup.uses import (
    animals_uses,
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
from contest.slips.keyed import keyed
from contest.slips.resettling import resettle_class, resettle_part
from contest.trail.sentences import Sentence, sentence
from scoring.core.placing import ANIMALS, why_not_animals, why_not_labels
from scoring.core.points import figure_of_hundredths, in_thousands
from scoring.core.record import FEWEST_TO_KEEP_FROM, HUNDREDTHS, MOST_TO_KEEP_FROM
from scoring.core.result import OVERALL, PLACING, REASONS

Row = TypeVar("Row", bound=OutlineRow)
InCategory = TypeVar("InCategory", bound=JudgingClass | Part)
LIST_NAMES = (OVERALL, PLACING, REASONS)


class RowKind(Generic[Row]):
    """What is the same for most kinds. `plain` are the row's own settings; the first is what it is called by."""

    model: type[Row]
    plain: ClassVar[tuple[str, ...]]
    trail_value: ClassVar[str] = "named"
    unless_said: ClassVar[Values] = {}
    """What a new row has where nothing is said of it."""

    new: ClassVar[str]
    known_as: ClassVar[str]
    to_change: ClassVar[str]
    to_remove: ClassVar[str]
    used: ClassVar[str]
    there_already: ClassVar[str]
    """What people are told of a row, before it is translated; `{name}` is what it is called by."""

    def __init__(self) -> None:
        """`name` as addresses and `Contest` call the rows; `one` as the trail's codes do."""
        self.name, self.one = str(self.model._meta.verbose_name_plural), str(self.model._meta.verbose_name)

    def called(self, row: Row) -> str:
        """Such as `division SR` and `class 3`."""
        return self.say(self.known_as, row)

    def say(self, text: str, row: Row) -> str:
        return _(text).format(name=getattr(row, self.plain[0]))

    def told(self, row: Row, done: str) -> Sentence:
        """What the trail says of a row that was `added`, `changed` or `removed`."""
        return sentence(f"{self.one}_{done}", **{self.trail_value: getattr(row, self.plain[0])})

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
    plain = ("code", "name", "team_counting", "short_team", "counting_members", "reasons_least", "alternates_compete")
    unless_said: ClassVar[Values] = {"reasons_least": 0, "alternates_compete": True}
    new = gettext_noop("New division")
    known_as = gettext_noop("division {name}")
    to_change = gettext_noop("Change division {name}")
    to_remove = gettext_noop("Remove division {name}")
    used = gettext_noop("In use: division {name}")
    there_already = gettext_noop("division {name} is there already; give this one another code")

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
    new = gettext_noop("New category")
    known_as = gettext_noop("category {name}")
    to_change = gettext_noop("Change category {name}")
    to_remove = gettext_noop("Remove category {name}")
    used = gettext_noop("In use: category {name}")
    there_already = gettext_noop("category {name} is there already; give this one another code")

    def check(self, row: Category, values: Values) -> None:
        if values["code"].lower() in LIST_NAMES:
            reason = _("{code!r} is already the name of a list; give the category another code")
            raise WrongValue("code", reason.format(code=values["code"]))

    def uses(self, row: Category) -> list[str]:
        return [*category_uses(row), *tie_uses(category=row)]


class _Sets(RowKind[ResultSet]):
    model = ResultSet
    plain = ("code", "name")
    new = gettext_noop("New set of results")
    known_as = gettext_noop("set of results {name}")
    to_change = gettext_noop("Change set of results {name}")
    to_remove = gettext_noop("Remove set of results {name}")
    used = gettext_noop("In use: set of results {name}")
    there_already = gettext_noop("set of results {name} is there already; give this one another code")

    def write(self, row: ResultSet, values: Values) -> None:
        is_first = row._state.adding and not row.contest.sets.exists()
        super().write(row, values)
        if is_first:  # or there would be no list of anybody until somebody is put in
            SetMember.objects.bulk_create(
                SetMember(result_set=row, contestant=person) for person in row.contest.contestants.all()
            )

    def uses(self, row: ResultSet) -> list[str]:
        return [_("it has ribbons of its own; take them away first")] if row.ribbons.exists() else []

    def goes_with(self, row: ResultSet) -> list[str]:
        count = row.members.count()
        text = ngettext("{count} contestant is in it no longer", "{count} contestants are in it no longer", count)
        return [text.format(count=in_thousands(count))] if count else []

    def remove_what_holds_on(self, row: ResultSet) -> None:
        row.members.all().delete()


class _InCategory(RowKind[InCategory]):
    """Classes and parts: both may belong to a category, and divisions do them."""

    def values_of(self, row: InCategory) -> Values:
        return super().values_of(row) | {"category": row.category.code if row.category else ""}

    def write(self, row: InCategory, values: Values) -> None:
        code = values["category"]
        row.category = row.contest.categories.filter(code=code).first() if code else None
        if code and row.category is None:
            raise WrongValue("category", _("there is no category {code!r}").format(code=code))
        divisions = _divisions_of(row.contest, values["divisions"])
        super().write(row, values)
        self.write_divisions(row, divisions, values)

    def write_divisions(self, row: InCategory, divisions: list[Division], values: Values) -> None:
        raise NotImplementedError


class _Classes(_InCategory[JudgingClass]):
    model = JudgingClass
    plain = ("number", "name", "places", "perfect", "animals", "minutes", "handling")
    trail_value = "judged"
    unless_said: ClassVar[Values] = {"animals": ANIMALS, "minutes": None, "handling": ""}
    new = gettext_noop("New class")
    known_as = gettext_noop("class {name}")
    to_change = gettext_noop("Change class {name}")
    to_remove = gettext_noop("Remove class {name}")
    used = gettext_noop("In use: class {name}")
    there_already = gettext_noop("class {name} is there already; give this one another number")

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
            void = set(row.class_divisions.filter(void=True).values_list("division_id", flat=True))
            row.class_divisions.all().delete()
            ClassDivision.objects.bulk_create(
                ClassDivision(judging_class=row, division_id=key, gives_reasons=gives, void=key in void)
                for key, gives in after.items()
            )

    def check(self, row: JudgingClass, values: Values) -> None:
        for code in values["reasons"]:
            if code not in values["divisions"]:
                told = _("division {code} gives reasons on this class but does not judge it")
                raise WrongValue("reasons", told.format(code=code))
        if reason := why_not_animals(values["animals"]):
            raise WrongValue("animals", _("animals: {reason}").format(reason=reason))
        if row._state.adding:
            return
        if row.animals != values["animals"] and (uses := animals_uses(row)):
            raise WrongValue("animals", _("the animals stay as they are: {why}").format(why=uses[0]))
        if row.places and not values["places"]:
            for uses in (class_uses(row), tie_uses(judging_class=row)):
                if uses:
                    told = _("this class must go on giving placing scores: {why}")
                    raise WrongValue("places", told.format(why=uses[0]))
        for division in row.divisions.exclude(code__in=values["divisions"]):
            if uses := division_in_class_uses(row, division):
                told = _("{division} cannot be taken out: {why}")
                raise WrongValue("divisions", told.format(division=division, why=uses[0]))
        for judges in row.class_divisions.filter(gives_reasons=True).exclude(division__code__in=values["reasons"]):
            if uses := reasons_of_division_uses(row, judges.division):
                told = _("{division} must go on giving reasons: {why}")
                raise WrongValue("reasons", told.format(division=judges.division, why=uses[0]))

    def settle(self, row: JudgingClass) -> None:
        resettle_class(row)

    def uses(self, row: JudgingClass) -> list[str]:
        return [*class_uses(row), *tie_uses(judging_class=row)]

    def instead(self, row: JudgingClass) -> list[str]:
        return [_("make it void instead")] if class_uses(row) else []

    def remove_what_holds_on(self, row: JudgingClass) -> None:
        row.claims.all().delete()  # stacks taken and given back, with nothing read


class _Parts(_InCategory[Part]):
    model = Part
    plain = ("code", "name", "most", "scope", "animals", "keep", "questions", "options", "worth")
    unless_said: ClassVar[Values] = {"questions": 0, "options": "", "worth": ""}
    new = gettext_noop("New part")
    known_as = gettext_noop("part {name}")
    to_change = gettext_noop("Change part {name}")
    to_remove = gettext_noop("Remove part {name}")
    used = gettext_noop("In use: part {name}")
    there_already = gettext_noop("part {name} is there already; give this one another code")

    def values_of(self, row: Part) -> Values:
        return super().values_of(row) | {"divisions": [division.code for division in row.divisions.all()]}

    def write(self, row: Part, values: Values) -> None:
        """What a part with questions can give follows from what they are worth."""
        if values["questions"]:
            worth = questions_of(values["questions"], values["options"], values["worth"]).worth
            values = values | {"most": sum(worth) // HUNDREDTHS}
        super().write(row, values)

    def write_divisions(self, row: Part, divisions: list[Division], values: Values) -> None:
        row.divisions.set(divisions)

    def check(self, row: Part, values: Values) -> None:
        if values["animals"]:
            self._check_keep(values)
        if values["questions"]:
            check_questions(values)
        if row._state.adding:
            return
        for field, names in {"animals": ("animals", "keep"), "questions": ("questions", "options")}.items():
            if any(values[name] != getattr(row, name) for name in names):
                uses = part_uses(row)
                if uses or row.keys.exists():
                    why = uses[0] if uses else keyed(row).typed_before
                    raise WrongValue(field, _("this cannot change: {why}").format(why=why))
        if values["scope"] != row.scope:
            if uses := part_uses(row):
                raise WrongValue("scope", _("this cannot change: {why}").format(why=uses[0]))
            if values["scope"] == Part.Scope.TEAM and (uses := tie_uses(part=row, scope=TieStep.Scope.INDIVIDUAL)):
                raise WrongValue("scope", uses[0])
        highest = highest_mark(row)
        if highest is not None and not values["animals"] and highest > values["most"] * HUNDREDTHS:
            told = _("a mark of {points} is entered; the most cannot be below it")
            raise WrongValue("most", told.format(points=figure_of_hundredths(highest)))
        for division in row.divisions.exclude(code__in=values["divisions"]):
            if uses := part_uses(row, [division]):
                told = _("{division} cannot be left out: {why}")
                raise WrongValue("divisions", told.format(division=division, why=uses[0]))

    def settle(self, row: Part) -> None:
        resettle_part(row)

    def _check_keep(self, values: Values) -> None:
        if problem := why_not_labels(values["animals"]):
            raise WrongValue("animals", problem)
        if not FEWEST_TO_KEEP_FROM <= len(values["animals"]) <= MOST_TO_KEEP_FROM:
            told = _("a keep/cull part has {fewest} to {most} animals")
            raise WrongValue("animals", told.format(fewest=FEWEST_TO_KEEP_FROM, most=MOST_TO_KEEP_FROM))
        if not 1 <= values["keep"] < len(values["animals"]):
            raise WrongValue(
                "keep",
                _("of {count} animals, 1 to {most} are kept").format(
                    count=len(values["animals"]), most=len(values["animals"]) - 1
                ),
            )
        if values["scope"] != Part.Scope.INDIVIDUAL:
            raise WrongValue("scope", _("keep/cull is each contestant’s own"))

    def uses(self, row: Part) -> list[str]:
        return [*part_uses(row), *tie_uses(part=row)]


DIVISIONS, CATEGORIES, CLASSES, PARTS, SETS = _Divisions(), _Categories(), _Classes(), _Parts(), _Sets()
KINDS: dict[str, RowKind[Any]] = {kind.name: kind for kind in (DIVISIONS, CATEGORIES, CLASSES, PARTS, SETS)}


def kind_of(row: OutlineRow) -> RowKind[Any]:
    return KINDS[str(row._meta.verbose_name_plural)]


def _divisions_of(contest: Contest, codes: Sequence[str]) -> list[Division]:
    """The divisions of these codes, in the contest's order."""
    divisions = list(contest.divisions.filter(code__in=codes))
    if missing := set(codes) - {division.code for division in divisions}:
        raise WrongValue("divisions", _("there is no division {code!r}").format(code=min(missing)))
    return divisions

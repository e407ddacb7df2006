"""The set-up's forms: what can be typed, and each choice in plain words with what it comes to on an example."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django import forms
from django.db.models import Max
from django.utils.timezone import localtime
from django.utils.translation import gettext, ngettext, pgettext
from django.utils.translation import gettext_lazy as _

from contest.book.outline import LARGEST_POINTS, MOST_MINUTES
from contest.book.text import LARGEST_NUMBER, why_not_text
from contest.models import Contest, Division, JudgingClass
from contest.models.outline import TEXT_LENGTH
from contest.setup import examples
from contest.setup.fields import AnimalsField, CodeField, Explained, NumberField, TextField, YesNoField, one_of
from contest.setup.values import Values
from contest.web.form_fields import choice_field
from scoring.core.explain import listed
from scoring.core.placing import ANIMALS
from scoring.core.points import in_thousands
from scoring.core.record import MOST_REASONS

MOST_COUNTING = 1000
TYPED_TIME = "%Y-%m-%dT%H:%M"
LONGEST_LIST = 20_000


class SetUpForm(forms.Form):
    """A form over settings as `RowKind.values_of` gives them. After a conflict, `theirs` are those there are now."""

    theirs: Values | None = None

    @staticmethod
    def initial_of(values: Values) -> Values:
        """What the form shows for these settings."""
        return dict(values)

    def values(self) -> dict[str, Any]:
        """What was typed, as the function that makes the change takes it."""
        return dict(self.cleaned_data)

    def point_at_first_error(self) -> None:
        """Let the page open on the first field that is wrong."""
        wrong = next((name for name in self.fields if name in self.errors), None)
        if wrong:
            self.fields[wrong].widget.attrs["autofocus"] = True

    def point_at_first(self) -> None:
        """Let the page open on its first field."""
        self.fields[next(iter(self.fields))].widget.attrs["autofocus"] = True

    def differences(self, theirs: Values) -> list[dict[str, str]]:
        """Where what was typed differs from how it is now, in words."""
        theirs = self.initial_of(theirs)
        return [
            {
                "what": str(self.fields[name].label),
                "theirs": self._in_words(name, theirs[name]),
                "yours": self._in_words(name, mine),
            }
            for name, mine in self.cleaned_data.items()
            if _plain(mine) != theirs.get(name)
        ]

    def _in_words(self, name: str, value: Any) -> str:
        choices = {str(key): str(words) for key, words in getattr(self.fields[name], "choices", ())}
        if isinstance(value, list):
            return listed(choices.get(str(choice), str(choice)) for choice in value) or pgettext("no choice", "none")
        return choices.get(str(value), str(value)) if value not in (None, "") else gettext("nothing")


class FactsForm(SetUpForm):
    name = TextField(_("Name"))
    held_on = forms.DateField(label=_("Date"), required=False, widget=forms.DateInput(attrs={"type": "date"}))
    place = TextField(_("Place"), required=False)
    starts_at = forms.TimeField(
        label=_("First class starts at"),
        required=False,
        widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}),
        help_text=_("For the rotation table of the groups."),
    )
    minutes_per_class = NumberField(_("Minutes a class"), 1, MOST_MINUTES, _("For the rotation table of the groups."))
    late_after = forms.DateTimeField(
        label=_("Entries are late from"),
        required=False,
        widget=forms.DateTimeInput(format=TYPED_TIME, attrs={"type": "datetime-local"}),
        help_text=_("Whoever is entered from then on. Empty: nobody is late."),
    )
    late_entries = one_of(_("Late entries"), Contest.LateEntries.choices, required=False)
    show_people_as = one_of(
        _("What public screens and posted lists show"),
        Contest.ShowPeopleAs.choices,
        lambda: {value: gettext("Such as {name}.").format(name=who) for value, who in examples.people_shown().items()},
    )

    @staticmethod
    def initial_of(values: Values) -> Values:
        late = values["late_after"]
        return values | {
            "starts_at": (values["starts_at"] or "")[:5] or None,
            "late_after": localtime(datetime.fromisoformat(late)).strftime(TYPED_TIME) if late else None,
        }

    def values(self) -> dict[str, Any]:
        values = super().values()
        return values | {"late_entries": values["late_entries"] or Contest.LateEntries.ACCEPT.value}


class RulesForm(SetUpForm):
    """`states` tells, by choice of readings, how the cards read so far would stand."""

    readings = forms.ChoiceField(label=_("How often every card is read"), widget=forms.RadioSelect)
    negative_scores = one_of(
        _("A placing score below 0"),
        [("keep", _("is kept as it is")), ("zero", _("counts as 0"))],
        examples.negative_scores,
    )
    unreadable_card = one_of(
        _("A card that cannot be read, or is marked wrongly, earns"),
        Contest.UnreadableCard.choices,
        examples.unreadable_card,
    )
    reasons_in_category = YesNoField(
        _("A reasons score"),
        [(True, _("counts in the category of its class too")), (False, _("counts in no category"))],
        examples.reasons_in_category,
    )
    reasons_standardised = YesNoField(
        _("Reasons scores of different officials"),
        [
            (False, _("count as they were given")),
            (True, _("are standardised: brought to the same mean and spread. Only where the rulebook orders it")),
        ],
        examples.reasons_standardised,
    )

    READINGS = {
        "1": (_("once"), {"readings_per_card": 1, "same_reader_twice": False}),
        "2": (_("twice, by two different helpers"), {"readings_per_card": 2, "same_reader_twice": False}),
        "2-same": (_("twice, by the same helper if need be"), {"readings_per_card": 2, "same_reader_twice": True}),
    }

    def __init__(self, *args: Any, states: Mapping[str, str] | None = None, **options: Any) -> None:
        super().__init__(*args, **options)
        choices = [(choice, words) for choice, (words, _values) in self.READINGS.items()]
        choice_field(self, "readings").choices = Explained.choices(choices, READINGS_MEAN | dict(states or {}))

    @staticmethod
    def initial_of(values: Values) -> Values:
        once = values["readings_per_card"] == 1
        kept = {name: value for name, value in values.items() if name not in ("readings_per_card", "same_reader_twice")}
        return {"readings": "1" if once else "2-same" if values["same_reader_twice"] else "2", **kept}

    def values(self) -> dict[str, Any]:
        values = super().values()
        _words, readings = self.READINGS[values.pop("readings")]
        return values | readings


READINGS_MEAN = {
    "1": _("The first reading settles a card: quick, and nobody notices a slip."),
    "2": _("Two that agree settle it; two that differ are a doubt for the superintendent."),
    "2-same": _("For a contest with few helpers: fewer slips are noticed."),
}


class RowForm(SetUpForm):
    """A form over one row of a contest's outline."""

    def __init__(self, contest: Contest, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        divisions = list(contest.divisions.values_list("code", "name"))
        choices = {
            "category": [("", pgettext("no category", "none")), *contest.categories.values_list("code", "name")],
            "divisions": divisions,
            "reasons": divisions,
        }
        for name in choices.keys() & self.fields.keys():
            choice_field(self, name).choices = choices[name]

    @staticmethod
    def first_values(contest: Contest) -> Values:
        """What the form for a new row begins with."""
        return {}


class DivisionForm(RowForm):
    name = TextField(_("Name"), help_text=_("Such as Senior."))
    code = CodeField("SR")
    team_counting = NumberField(
        _("Members of a team who count"),
        0,
        MOST_COUNTING,
        _("The best so many make the team total; 0: every member counts."),
    )
    reasons_least = NumberField(
        _("The least that a reasons score counts"),
        0,
        MOST_REASONS,
        _("A score that was given and is lower is raised to it; no reasons are 0. Empty or 0: no such rule."),
        required=False,
    )
    alternates_compete = YesNoField(
        _("The alternate of a team"),
        [(True, _("competes as an individual")), (False, _("stands in no list"))],
    )
    short_team = one_of(_("In a team with fewer members than that"), Division.ShortTeam.choices)
    counting_members = one_of(
        _("In the lists of placing, reasons and categories, a team has"),
        [("fixed", _("the members who count overall")), ("each", _("the best members of that very list"))],
    )

    @staticmethod
    def first_values(contest: Contest) -> Values:
        return {
            "team_counting": 3,
            "short_team": "zero",
            "counting_members": "fixed",
            "reasons_least": 0,
            "alternates_compete": True,
        }

    def values(self) -> dict[str, Any]:
        values = super().values()
        return values | {"reasons_least": values["reasons_least"] or 0}


class CategoryForm(RowForm):
    name = TextField(_("Name"), help_text=_("Such as Halter."))
    code = CodeField("HAL")


class SetForm(RowForm):
    name = TextField(_("Name"), help_text=_("Such as School chapters."))
    code = CodeField("CHAPTERS")


class ClassForm(RowForm):
    number = NumberField(_("Number"), 1, LARGEST_NUMBER)
    name = TextField(_("Name"), help_text=_("Such as Aged geldings."))
    category = forms.ChoiceField(label=_("Category"), required=False)
    divisions = forms.MultipleChoiceField(label=_("Judged by"), required=False, widget=forms.CheckboxSelectMultiple)
    reasons = forms.MultipleChoiceField(label=_("Oral reasons by"), required=False, widget=forms.CheckboxSelectMultiple)
    places = YesNoField(
        _("It is judged"),
        [(True, _("on placing cards")), (False, _("for its reasons only"))],
        lambda: {True: _("Every contestant hands in a card."), False: _("There are no cards and no placing score.")},
    )
    animals = AnimalsField()
    perfect = NumberField(_("Perfect score"), 1, LARGEST_POINTS)
    minutes = NumberField(
        _("Minutes it takes"),
        1,
        MOST_MINUTES,
        _("Such as 15 where oral reasons are given. Empty: as long as the contest says of every class."),
        required=False,
    )
    handling = one_of(_("Handling the animals"), JudgingClass.Handling.choices, required=False)

    def __init__(self, contest: Contest, *args: Any, **options: Any) -> None:
        super().__init__(contest, *args, **options)
        self.fields["perfect"].help_text = examples.perfect_score(self.initial.get("perfect", 50))

    @staticmethod
    def first_values(contest: Contest) -> Values:
        last = contest.classes.last()
        return {
            "number": next_number(contest),
            "category": last.category.code if last and last.category else "",
            "divisions": list(contest.divisions.values_list("code", flat=True)),
            "places": True,
            "animals": last.animals if last else ANIMALS,
            "perfect": 50,
        }

    def by_division(self) -> list[dict[str, Any]]:
        """One row a division: its name, whether it judges the class, and whether it gives reasons on it."""
        boxes = zip(self["divisions"], self["reasons"], strict=True)
        return [{"name": judges.choice_label, "judges": judges, "reasons": reasons} for judges, reasons in boxes]


class ClassesForm(ClassForm):
    """Many classes at once, each a line such as `3 Yearling ewes`, or its name alone for the next free number."""

    number = None  # type: ignore[assignment]  # each line's own
    name = None  # type: ignore[assignment]
    classes = forms.CharField(
        label=_("Classes, one a line"),
        widget=forms.Textarea(attrs={"rows": 8, "autofocus": True, "spellcheck": "false"}),
        help_text=_("Such as 3 Yearling ewes; a line without a number gets the next one."),
        error_messages={"required": _("Type at least one class.")},
        max_length=LONGEST_LIST,
    )

    def __init__(self, contest: Contest, *args: Any, **options: Any) -> None:
        super().__init__(contest, *args, **options)
        self._next = next_number(contest)

    def clean_classes(self) -> list[tuple[int, str]]:
        """The number and name of each line."""
        made: list[tuple[int, str]] = []
        for line in filter(None, map(str.strip, self.cleaned_data["classes"].splitlines())):
            first, _space, rest = line.partition(" ")
            digits = first.rstrip(".:)")
            has_number = digits.isascii() and digits.isdecimal()
            number = int(digits[:9]) if has_number else max([self._next - 1, *(number for number, _name in made)]) + 1
            name = rest.strip() if has_number else line
            if why := self._why_not(number, name, made):
                raise forms.ValidationError(gettext("“{line}”: {why}.").format(line=line, why=why))
            made.append((number, name))
        return made

    @staticmethod
    def _why_not(number: int, name: str, made: list[tuple[int, str]]) -> str:
        if not name:
            return gettext("a name is missing")
        if not 1 <= number <= LARGEST_NUMBER:
            return gettext("a number is from 1 to {most}").format(most=LARGEST_NUMBER)
        if number in dict(made):
            return gettext("the list has class {number} twice").format(number=number)
        if len(name) > TEXT_LENGTH:
            return gettext("say it in {most} characters").format(most=TEXT_LENGTH)
        return why_not_text(name, gettext("the name")) or ""


class ReasonForm(SetUpForm):
    reason = TextField(_("Why"))


class VoidForm(ReasonForm):
    """Why a class is thrown out, what its contestants have instead, and for whom it is void: all of its divisions,
    unless some are unticked."""

    instead = one_of(
        _("What becomes of it"),
        [("void", _("It counts for nobody")), ("full", _("Everybody has the full placing score"))],
        lambda: {
            "void": gettext("Its placing and its reasons are thrown out."),
            "full": gettext(
                "For a class that was not fairly judged: card or none, key or none. Reasons count as they are."
            ),
        },
        initial="void",
        required=False,
    )

    divisions = forms.MultipleChoiceField(
        label=_("It counts for nobody of"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tick at least one division.")},
    )

    def __init__(self, data: Any, choices: list[tuple[str, str]], places: bool = True) -> None:
        super().__init__(data, initial={"divisions": [code for code, _name in choices]})
        if not places:
            del self.fields["instead"]
        if len(choices) > 1:
            choice_field(self, "divisions").choices = choices
        else:
            del self.fields["divisions"]


def next_number(contest: Contest) -> int:
    """The number after the highest that a class has."""
    return (contest.classes.aggregate(last=Max("number"))["last"] or 0) + 1


def states_in_words(states: Mapping[str, int]) -> str:
    """How cards would stand: `Of the cards read so far, 40 are settled, 2 read once and 1 doubtful.`"""
    cards = sum(states.values())
    settled, once, doubt = (states.get(name, 0) for name in ("settled", "once", "doubt"))
    text = ngettext(
        "Of the {count} card read so far: {settled} settled, {once} read once, {doubt} doubtful.",
        "Of the {count} cards read so far: {settled} settled, {once} read once, {doubt} doubtful.",
        cards,
    )
    counts = {"count": cards, "settled": settled, "once": once, "doubt": doubt}
    return text.format(**{name: in_thousands(number) for name, number in counts.items()})


def _plain(value: Any) -> Any:
    if not hasattr(value, "isoformat"):
        return value
    if isinstance(value, datetime):
        return localtime(value).strftime(TYPED_TIME)
    return value.isoformat()[:5] if hasattr(value, "hour") else value.isoformat()


class DeleteForm(SetUpForm):
    name = TextField(_("Type the name of the contest"))

"""The set-up's forms: what can be typed, and each choice in plain words with what it comes to on an example."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.db.models import Max

from contest.book.outline import LARGEST_POINTS, MOST_MINUTES
from contest.book.text import LARGEST_NUMBER, why_not_code, why_not_text
from contest.models import Contest, Division
from contest.models.outline import CODE_LENGTH, TEXT_LENGTH
from contest.setup import examples
from contest.setup.values import Values
from contest.web.form_fields import choice_field
from scoring.core.explain import counted, listed

Choices = Iterable[tuple[Any, str]]
MOST_COUNTING = 1000


class Explained(str):
    """The words of a choice, with its `effect`: what it comes to on an example."""

    effect = ""

    @classmethod
    def choices(cls, choices: Choices, effects: Mapping[Any, str]) -> list[tuple[Any, Explained]]:
        explained = []
        for value, words in choices:
            label = cls(words)
            label.effect = effects.get(value, "")
            explained.append((value, label))
        return explained


class TextField(forms.CharField):
    def __init__(self, label: str, required: bool = True, **options: Any) -> None:
        widget = forms.TextInput(attrs={"autocomplete": "off"})
        super().__init__(label=label, required=required, max_length=TEXT_LENGTH, widget=widget, **options)

    def validate(self, value: str) -> None:
        super().validate(value)
        if reason := why_not_text(value):
            raise forms.ValidationError(f"It {reason}.")


class CodeField(forms.CharField):
    def __init__(self, example: str) -> None:
        widget = forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false", "class": "short"})
        told = f"A short name for lists and files, such as {example}."
        super().__init__(label="Code", max_length=CODE_LENGTH, widget=widget, help_text=told)

    def validate(self, value: str) -> None:
        super().validate(value)
        if reason := why_not_code(value):
            raise forms.ValidationError(reason)


class NumberField(forms.IntegerField):
    def __init__(self, label: str, least: int, most: int, help_text: str = "") -> None:
        widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "short"})
        super().__init__(label=label, min_value=least, max_value=most, widget=widget, help_text=help_text)


class YesNoField(forms.TypedChoiceField):
    def __init__(self, label: str, choices: Choices, effects: Mapping[Any, str] | None = None) -> None:
        explained = Explained.choices(choices, effects or {})
        super().__init__(label=label, choices=explained, coerce=lambda value: value == "True", widget=forms.RadioSelect)


def one_of(label: str, choices: Choices, effects: Mapping[Any, str] | None = None) -> forms.ChoiceField:
    explained = Explained.choices(choices, effects or {})
    return forms.ChoiceField(label=label, choices=explained, widget=forms.RadioSelect)


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
            return listed(choices.get(str(choice), str(choice)) for choice in value) or "none"
        return choices.get(str(value), str(value)) if value not in (None, "") else "nothing"


class FactsForm(SetUpForm):
    name = TextField("Name")
    held_on = forms.DateField(label="Date", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    place = TextField("Place", required=False)
    starts_at = forms.TimeField(
        label="First class starts at",
        required=False,
        widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"}),
        help_text="For the rotation table of the groups.",
    )
    minutes_per_class = NumberField("Minutes a class", 1, MOST_MINUTES, "For the rotation table of the groups.")
    show_people_as = one_of(
        "What public screens and posted lists show",
        Contest.ShowPeopleAs.choices,
        {value: f"Such as {shown}." for value, shown in examples.people_shown().items()},
    )

    @staticmethod
    def initial_of(values: Values) -> Values:
        return values | {"starts_at": (values["starts_at"] or "")[:5] or None}


class RulesForm(SetUpForm):
    """`states` tells, by choice of readings, how the cards read so far would stand."""

    readings = forms.ChoiceField(label="How often every card is read", widget=forms.RadioSelect)
    negative_scores = one_of(
        "A placing score below 0",
        [("keep", "is kept as it is"), ("zero", "counts as 0")],
        examples.negative_scores(),
    )
    unreadable_card = one_of(
        "A card that cannot be read, or is marked wrongly, earns",
        Contest.UnreadableCard.choices,
        examples.unreadable_card(),
    )
    reasons_in_category = YesNoField(
        "A reasons score",
        [(True, "counts in the category of its class too"), (False, "counts in no category")],
        examples.reasons_in_category(),
    )
    reasons_standardised = YesNoField(
        "Reasons scores of different officials",
        [
            (False, "count as they were given"),
            (True, "are standardised: brought to the same mean and spread. Only where the rulebook orders it"),
        ],
        examples.reasons_standardised(),
    )

    READINGS = {
        "1": ("once", {"readings_per_card": 1, "same_reader_twice": False}),
        "2": ("twice, by two different helpers", {"readings_per_card": 2, "same_reader_twice": False}),
        "2-same": ("twice, by the same helper if need be", {"readings_per_card": 2, "same_reader_twice": True}),
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
    "1": "The first reading settles a card: quick, and nobody notices a slip.",
    "2": "Two that agree settle it; two that differ are a doubt for the superintendent.",
    "2-same": "For a contest with few helpers: fewer slips are noticed.",
}


class RowForm(SetUpForm):
    """A form over one row of a contest's outline."""

    def __init__(self, contest: Contest, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        divisions = list(contest.divisions.values_list("code", "name"))
        choices = {
            "category": [("", "none"), *contest.categories.values_list("code", "name")],
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
    name = TextField("Name", help_text="Such as Senior.")
    code = CodeField("SR")
    team_counting = NumberField(
        "Members of a team who count", 0, MOST_COUNTING, "The best so many make the team total; 0: every member counts."
    )
    short_team = one_of("In a team with fewer members than that", Division.ShortTeam.choices)
    counting_members = one_of(
        "In the lists of placing, reasons and categories, a team has",
        [("fixed", "the members who count overall"), ("each", "the best members of that very list")],
    )

    @staticmethod
    def first_values(contest: Contest) -> Values:
        return {"team_counting": 3, "short_team": "zero", "counting_members": "fixed"}


class CategoryForm(RowForm):
    name = TextField("Name", help_text="Such as Halter.")
    code = CodeField("HAL")


class ClassForm(RowForm):
    number = NumberField("Number", 1, LARGEST_NUMBER)
    name = TextField("Name", help_text="Such as Aged geldings.")
    category = forms.ChoiceField(label="Category", required=False)
    divisions = forms.MultipleChoiceField(label="Judged by", required=False, widget=forms.CheckboxSelectMultiple)
    reasons = forms.MultipleChoiceField(label="Oral reasons by", required=False, widget=forms.CheckboxSelectMultiple)
    places = YesNoField(
        "It is judged",
        [(True, "on placing cards"), (False, "for its reasons only")],
        {True: "Every contestant hands in a card.", False: "There are no cards and no placing score."},
    )
    perfect = NumberField("Perfect score", 1, LARGEST_POINTS)

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
            "perfect": 50,
        }

    def by_division(self) -> list[dict[str, Any]]:
        """One row a division: its name, whether it judges the class, and whether it gives reasons on it."""
        boxes = zip(self["divisions"], self["reasons"], strict=True)
        return [{"name": judges.choice_label, "judges": judges, "reasons": reasons} for judges, reasons in boxes]


class PartForm(RowForm):
    name = TextField("Name", help_text="Such as Questions.")
    code = CodeField("QUEST")
    category = forms.ChoiceField(label="Category", required=False)
    divisions = forms.MultipleChoiceField(label="Done by", required=False, widget=forms.CheckboxSelectMultiple)
    most = NumberField("The most points it can give", 1, LARGEST_POINTS)
    scope = one_of("Points are given to", [("individual", "each contestant"), ("team", "each team")])

    @staticmethod
    def first_values(contest: Contest) -> Values:
        codes = list(contest.divisions.values_list("code", flat=True))
        return {"divisions": codes, "most": 50, "scope": "individual"}


ROW_FORMS: dict[str, type[RowForm]] = {
    "divisions": DivisionForm,
    "categories": CategoryForm,
    "classes": ClassForm,
    "parts": PartForm,
}
"""By the name of the kind (`contest.setup.kinds`)."""


class ReasonForm(SetUpForm):
    reason = TextField("Why")


def next_number(contest: Contest) -> int:
    """The number after the highest that a class has."""
    return (contest.classes.aggregate(last=Max("number"))["last"] or 0) + 1


def states_in_words(states: Mapping[str, int]) -> str:
    """How cards would stand: `Of the cards read so far, 40 are settled, 2 read once and 1 doubtful.`"""
    cards = sum(states.values())
    settled, once, doubt = (states.get(name, 0) for name in ("settled", "once", "doubt"))
    return f"Of the {counted(cards, 'card')} read so far: {settled:,} settled, {once:,} read once, {doubt:,} doubtful."


def _plain(value: Any) -> Any:
    if not hasattr(value, "isoformat"):
        return value
    return value.isoformat()[:5] if hasattr(value, "hour") else value.isoformat()


class DeleteForm(SetUpForm):
    name = TextField("Type the name of the contest")

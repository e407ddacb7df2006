"""What is typed about entries, checked for its form; whether it may be done is for the functions to say."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import format_lazy
from django.utils.translation import gettext, pgettext
from django.utils.translation import gettext_lazy as _

from contest.book.entry_columns import FIELDS, called
from contest.book.text import LARGEST_NUMBER, why_not_text
from contest.entries.groups import MOST_GROUPS
from contest.entries.late import asks_why
from contest.entries.matching import nearly
from contest.entries.plan import Values
from contest.models import Accommodation, Contest, Contestant, Team
from contest.models.outline import TEXT_LENGTH
from contest.uploads.spreadsheets import MOST_BYTES
from contest.web.form_fields import choice_field, row_field
from scoring.core.people import fold
from scoring.core.points import in_thousands
from scoring.core.record import SetMember
from scoring.core.sets import membership, membership_written

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

DIGITS = {"inputmode": "numeric", "autocomplete": "off"}


class Text(forms.CharField):
    """A name or other short text, with single spaces between its words."""

    def __init__(self, label: str | _StrPromise, required: bool = False, **options: Any) -> None:
        options.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off"}))
        super().__init__(label=label, required=required, max_length=TEXT_LENGTH, **options)

    def to_python(self, value: Any) -> str:
        return " ".join((super().to_python(value) or "").split())

    def validate(self, value: str) -> None:
        super().validate(value)
        if reason := why_not_text(value, pgettext("what was typed", "This")):
            raise ValidationError(f"{reason}.")


class Whole(forms.IntegerField):
    """A positive whole number, typed without arrows that a wheel turns."""

    def __init__(self, label: str | _StrPromise, most: int = LARGEST_NUMBER, **options: Any) -> None:
        widget = forms.TextInput(attrs=DIGITS)
        super().__init__(label=label, min_value=1, max_value=most, widget=widget, **options)


class HeldForm(forms.Form):
    """A form that says which fields are wrong, wherever an error comes from."""

    def trouble(self, trouble: Any) -> None:
        self.add_error(trouble.field if trouble.field in self.fields else None, trouble.text)


class DetailsForm(HeldForm):
    number = Whole(_("Number"))
    first_name = Text(_("First name"))
    last_name = Text(_("Last name"))
    group = Text(_("Group"))
    came_from = Text(_("Came from"))
    hide_name = forms.BooleanField(label=_("Name not to be shown in public"), required=False)

    def values(self, division: str, team: str, present: bool = True) -> Values:
        cleaned = self.cleaned_data
        return Values(
            number=cleaned["number"],
            division=division,
            team=team,
            first_name=cleaned["first_name"],
            last_name=cleaned["last_name"],
            group=cleaned["group"],
            show_name=not cleaned["hide_name"],
            present=present,
            came_from=cleaned.get("came_from", ""),
        )


class PlaceForm(HeldForm):
    """Where somebody competes."""

    division: forms.ModelChoiceField[Any] = forms.ModelChoiceField(queryset=None, label=_("Division"), empty_label=None)
    team = Text(_("Team"), help_text=_("Empty: competes as an individual."))

    near = ""
    """The team that may have been meant by one that is new: the form asks."""
    new_team = ""

    def __init__(self, contest: Contest, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        row_field(self, "division").queryset = contest.divisions.all()
        self.fields["team"].widget.attrs["list"] = "teams"

    def clean(self) -> dict[str, Any]:
        """Ask whether a team that nobody is in yet is new, where its name is nearly another's. What is answered comes
        by a button: `meant` is the other one, `new_team` is the name that is really new."""
        cleaned = super().clean() or {}
        division, name = cleaned.get("division"), cleaned.get("team")
        if not division or not name:
            return cleaned
        names = list(division.teams.values_list("name", flat=True))
        if self.data.get("meant") in names:
            cleaned["team"] = name = self.data["meant"]
        if fold(name) in map(fold, names):
            return cleaned
        self.new_team = name
        self.near = "" if self.data.get("new_team") == name else nearly(name, names)
        if self.near:
            told = gettext("{division} has no team {team} yet. Is it {near}?")
            self.add_error("team", told.format(division=division, team=name, near=self.near))
        return cleaned

    def told_of_new_team(self, text: str) -> str:
        """What is said once it is done, with a word of the team that was made by it."""
        if not self.new_team:
            return text
        return f"{text} " + gettext("{team} is a new team.").format(team=self.new_team)


class SetsForm(HeldForm):
    """Which sets of results somebody is in, and for which team there; `shown` is what their page said."""

    prefix = "sets"
    shown = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, contest: Contest, *args: Any, sets: str = "", **kwargs: Any) -> None:
        now = membership(sets)
        super().__init__(*args, **kwargs)
        self.fields["shown"].initial = sets
        self._sets = list(contest.sets.all())
        for row in self._sets:
            ticked, team = row.code in now, now.get(row.code, "")
            self.fields[f"in_{row.pk}"] = forms.BooleanField(label=row.name, required=False, initial=ticked)
            label = format_lazy(_("Team in {name}, if another"), name=row.name)
            self.fields[f"team_{row.pk}"] = Text(label, initial=team)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for row in self._sets:
            if ";" in cleaned.get(f"team_{row.pk}", ""):
                self.add_error(f"team_{row.pk}", gettext("A team’s name has no semicolon here."))
        return cleaned

    def written(self) -> str:
        return membership_written(
            SetMember(row.code, 0, self.cleaned_data[f"team_{row.pk}"])
            for row in self._sets
            if self.cleaned_data[f"in_{row.pk}"]
        )


class PutInSetForm(HeldForm):
    """Whom to put into a set, or to take out of it."""

    who = Text(_("Numbers"), help_text=_("Such as 101-120, 131. Empty: everybody."))
    division = forms.ChoiceField(label=_("Only those of"), required=False)

    def __init__(self, contest: Contest, *args: Any, prefix_of: str = "", **kwargs: Any) -> None:
        kwargs["auto_id"] = f"id_{prefix_of}_%s"
        super().__init__(*args, **kwargs)
        divisions = list(contest.divisions.values_list("code", "name"))
        choice_field(self, "division").choices = [("", gettext("all divisions")), *divisions]


class MoveForm(PlaceForm):
    """Where somebody is moved; `seen` stands for what was read of them, as the page told it."""

    why = Text(_("Why it is set aside"), help_text=_("Empty: moved to another division."))
    seen = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)


class SizesForm(HeldForm):
    least = Whole(_("Least members"), most=99, required=False)
    most = Whole(_("Most members"), most=99, required=False)

    def __init__(self, *args: Any, prefix_of: str = "", **kwargs: Any) -> None:
        kwargs["auto_id"] = f"id_{prefix_of}_%s"
        super().__init__(*args, **kwargs)


class RenameForm(HeldForm):
    name = Text(_("Name"), required=True)


class MergeForm(HeldForm):
    """Which team another one becomes part of."""

    into: forms.ModelChoiceField[Any] = forms.ModelChoiceField(queryset=None, label=_("Becomes part of"))

    def __init__(self, team: Team, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        row_field(self, "into").queryset = team.division.teams.exclude(pk=team.pk)


class WalkUpForm(PlaceForm, DetailsForm):
    """Somebody who is entered on the day."""

    field_order = [
        "number",
        "first_name",
        "last_name",
        "nameless",
        "division",
        "team",
        "group",
        "hide_name",
        "late_note",
    ]
    late_note = Text(_("Why they are entered late"))
    came_from = None  # type: ignore[assignment]  # takes the field away: who walks up was sent by nobody
    nameless = Text(_("Why there is no name"))
    asks_why = False
    """Whether the reason is asked for: nobody is without a name unasked."""

    def __init__(self, contest: Contest, *args: Any, **kwargs: Any) -> None:
        super().__init__(contest, *args, **kwargs)
        if not asks_why(contest):
            del self.fields["late_note"]
        self._sets = list(contest.sets.all())
        for place, row in enumerate(self._sets):
            label = format_lazy(_("In the results of {name}"), name=row.name)
            self.fields[f"in_{row.pk}"] = forms.BooleanField(label=label, required=False, initial=place == 0)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        named = cleaned.get("first_name") or cleaned.get("last_name")
        self.asks_why = not named and not {"first_name", "last_name"} & self.errors.keys()
        if self.asks_why and not cleaned.get("nameless"):
            self.add_error("first_name", gettext("Type a name, or say below why there is none."))
        return cleaned

    def entry(self) -> Values:
        ticked = (SetMember(row.code, 0) for row in self._sets if self.cleaned_data[f"in_{row.pk}"])
        values = self.values(self.cleaned_data["division"].code, self.cleaned_data["team"])
        return replace(values, result_sets=membership_written(ticked))


class SubstituteForm(HeldForm):
    prefix = "instead"
    first_name = Text(_("First name"))
    last_name = Text(_("Last name"), required=True)
    hide_name = forms.BooleanField(label=_("Name not to be shown in public"), required=False)


class IneligibleForm(HeldForm):
    reason = Text(_("Reason"), required=True, help_text=_("Only superintendents see it."))


class UnrankedForm(HeldForm):
    """Whether somebody stands in the lists of individuals, and why not."""

    prefix = "unranked"
    unranked = forms.ChoiceField(
        label=_("In the lists of individuals"),
        choices=Contestant.Unranked.choices,
        required=False,
    )
    reason = Text(_("Reason"), help_text=_("Such as: champion last year. Only superintendents see it."))


class NeedsForm(HeldForm):
    """What a contestant needs to compete as the others do."""

    prefix = "needs"
    extra_time = forms.TypedChoiceField(label=_("Extra time"), choices=Accommodation.ExtraTime.choices, coerce=int)
    reader = forms.BooleanField(label=_("A reader"), required=False)
    scribe = forms.BooleanField(label=_("A scribe"), required=False)
    large_print = forms.BooleanField(label=_("Large print"), required=False)
    separate_room = forms.BooleanField(label=_("A separate room"), required=False)
    wheelchair = forms.BooleanField(label=_("A way for a wheelchair"), required=False)
    note = Text(_("What else"))


def details_of(contestant: Contestant) -> dict[str, Any]:
    return {
        "number": contestant.number,
        "first_name": contestant.first_name,
        "last_name": contestant.last_name,
        "group": contestant.group,
        "came_from": contestant.came_from,
        "hide_name": not contestant.show_name,
    }


class FilesInput(forms.FileInput):
    allow_multiple_selected = True


class FilesField(forms.FileField):
    """Any number of files, as a list."""

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        return [super(FilesField, self).clean(file, initial) for file in data or ()]


class TableForm(HeldForm):
    """An entry list, pasted or in a file; or several files, of which each came from somewhere."""

    text = forms.CharField(
        label=_("Paste the rows here"),
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "autocomplete": "off"}),
    )
    file = FilesField(
        label=_("or choose a file, or several"),
        required=False,
        allow_empty_file=True,
        widget=FilesInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx", "data-most-bytes": MOST_BYTES}),
    )

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if not values.get("file") and not values.get("text", "").strip() and not self.errors:
            self.add_error("text", gettext("Paste the rows of the list, headings and all, or choose a file."))
        size = sum(file.size for file in values.get("file") or ())
        if size > MOST_BYTES:
            told = gettext("The file has {size} bytes; {most} is the most.")
            counts = {"size": in_thousands(size), "most": in_thousands(MOST_BYTES)}
            self.add_error("file", told.format(**counts))
        return values


def column_choices() -> list[tuple[str, str]]:
    """What a column can be taken for, as people call it."""
    return [("", gettext("– not used –")), *((field, called(field)) for field in FIELDS)]


class NumbersForm(HeldForm):
    BY_TEAM, AT_RANDOM = "by-team", "at-random"
    how = forms.ChoiceField(
        label=_("How"),
        widget=forms.RadioSelect,
        choices=[
            (BY_TEAM, _("In blocks by team, then the individuals")),
            (AT_RANDOM, _("Drawn at random, so that a number does not tell the team")),
        ],
        initial=BY_TEAM,
    )
    start = Whole(_("First number"), initial=101)
    step = Whole(_("Next team starts after"), most=1000, initial=10)
    lowest = Whole(_("Lowest number"), initial=100)
    highest = Whole(_("Highest number"), initial=999)


class GroupsForm(HeldForm):
    count = Whole(_("How many groups"), most=MOST_GROUPS, initial=4)
    keep = forms.BooleanField(label=_("Whoever has one of these groups keeps it"), required=False)


class MoveGroupForm(HeldForm):
    prefix = "move"
    number = Whole(_("Contestant number"))
    group = Text(_("To group"), required=True)

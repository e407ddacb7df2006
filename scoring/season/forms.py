"""What the coach types of a season."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.helpers.joining import tidy
from contest.models.helpers import NAME_LENGTH
from contest.models.outline import TEXT_LENGTH
from contest.web.middleware import MEGABYTE, MOST_UPLOADED
from scoring.models.season import MOST_DAYS, MOST_OF_TEAM
from scoring.season.arriving import Arrived, Person
from scoring.season.matching import Proposal

MOST_CHOSEN_FROM = 60
"""People of a source from whom a member is chosen in a list; of more, the number is typed."""
MOST_NUMBER = 999_999


def number_field(label: Any, most: int, **options: Any) -> forms.IntegerField:
    widget = forms.TextInput({"inputmode": "numeric", "class": "short", "autocomplete": "off"})
    return forms.IntegerField(label=label, min_value=1, max_value=most, widget=widget, **options)


class SeasonForm(forms.Form):
    name = forms.CharField(
        label=gettext_lazy("Club and season"),
        max_length=TEXT_LENGTH,
        help_text=gettext_lazy("Such as “Harrow Creek, fall”."),
        widget=forms.TextInput({"autocomplete": "off"}),
    )


class SettingsForm(SeasonForm):
    """What a season is called, and by which rule its team is picked."""

    best = number_field(gettext_lazy("Best results that count"), MOST_DAYS)
    last = number_field(gettext_lazy("Of the last results that count"), MOST_DAYS)
    size = number_field(gettext_lazy("Members of the team"), MOST_OF_TEAM)

    def clean(self) -> dict[str, Any]:
        typed: dict[str, Any] = super().clean() or {}
        if typed.get("best", 0) > typed.get("last", MOST_DAYS):
            self.add_error("best", _("More than there are to choose from."))
        return typed


class MemberForm(forms.Form):
    number = number_field(gettext_lazy("Number in the club"), MOST_NUMBER)
    name = forms.CharField(
        label=gettext_lazy("Name"),
        max_length=NAME_LENGTH,
        required=False,
        help_text=gettext_lazy("Only with consent; without a name a member is known by the number alone."),
        widget=forms.TextInput({"autocomplete": "off", "spellcheck": "false"}),
    )
    consents = forms.BooleanField(
        label=gettext_lazy("I have the consent of the member, and of a parent of a minor, to keep name and results."),
        required=False,
    )

    def clean_name(self) -> str:
        return tidy(self.cleaned_data["name"])

    def clean(self) -> dict[str, Any]:
        typed: dict[str, Any] = super().clean() or {}
        if typed.get("name") and not typed.get("consents"):
            self.add_error("consents", _("A name is kept only with consent. Tick this, or leave the name empty."))
        return typed


class BookForm(forms.Form):
    file = forms.FileField(
        label=gettext_lazy("Contest book, a .zip"),
        widget=forms.FileInput({"accept": ".zip,application/zip", "data-most-bytes": MOST_UPLOADED}),
    )

    def clean_file(self) -> UploadedFile:
        file: UploadedFile = self.cleaned_data["file"]
        if (file.size or 0) > MOST_UPLOADED:
            told = _("The file is larger than {most} MB, so it is no book of one contest.")
            raise forms.ValidationError(told.format(most=MOST_UPLOADED // MEGABYTE))
        return file


class WhoForm(forms.Form):
    """Who of a contest or practice is which member, when it was, and whether it counts for the team."""

    held_on = forms.DateField(label=gettext_lazy("Date"), widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"))
    counts = forms.BooleanField(
        label=gettext_lazy("It is a result by which the team is picked."),
        required=False,
    )

    def __init__(self, arrived: Arrived, proposals: Sequence[Proposal], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.people: Mapping[int, Person] = {person.number: person for person in arrived.people}
        self.proposals = proposals
        for proposal in proposals:
            self.fields[field_of(proposal.member.pk)] = self._field(proposal)

    def _field(self, proposal: Proposal) -> forms.Field:
        initial = proposal.person.number if proposal.person else None
        label = proposal.member.name or _("Member {number}").format(number=proposal.member.number)
        if self.is_typed:
            return number_field(label, MOST_NUMBER, required=False, initial=initial)
        choices = [("", _("not in it")), *((person.number, said(person)) for person in self.people.values())]
        return forms.TypedChoiceField(
            label=label, choices=choices, coerce=int, empty_value=None, required=False, initial=initial
        )

    @property
    def is_typed(self) -> bool:
        """Whether numbers are typed, since there are too many people to choose from a list."""
        return len(self.people) > MOST_CHOSEN_FROM

    @property
    def rows(self) -> list[tuple[Proposal, forms.BoundField, str]]:
        """Each member with the field, and who that number is in the source, as it stands in the field."""
        made = []
        for proposal in self.proposals:
            bound = self[field_of(proposal.member.pk)]
            value = str(bound.value() or "").strip()
            person = self.people.get(int(value)) if value.isascii() and value.isdecimal() and len(value) < 7 else None
            made.append((proposal, bound, said(person) if person and self.is_typed else ""))
        return made

    def clean(self) -> dict[str, Any]:
        typed: dict[str, Any] = super().clean() or {}
        seen: dict[int, str] = {}
        for proposal in self.proposals:
            name = field_of(proposal.member.pk)
            number = typed.get(name)
            if number is None:
                continue
            if number not in self.people:
                self.add_error(name, _("Nobody has number {number} in it.").format(number=number))
            elif number in seen:
                self.add_error(name, _("{other} is that person already.").format(other=seen[number]))
            elif len(self.people) > MOST_CHOSEN_FROM and self.data.get(f"seen-{name}", "") != str(number):
                told = _("In it, {number} is {who}. If that is right, save once more.")
                self.add_error(name, told.format(number=number, who=said(self.people[number])))
            seen.setdefault(number, str(self.fields[name].label))
        return typed

    @property
    def who(self) -> dict[int, int]:
        """The number of each member that is in it, by the member's key."""
        chosen = ((one.member.pk, self.cleaned_data.get(field_of(one.member.pk))) for one in self.proposals)
        return {pk: number for pk, number in chosen if number is not None}


def field_of(pk: int) -> str:
    return f"member-{pk}"


def said(person: Person) -> str:
    """A person of a contest as the coach knows them: by name, team and number; in a practice by name alone."""
    if not person.team:
        return person.name or str(person.number)
    return _("{name}, {team}, {number}").format(name=person.name or "–", team=person.team, number=person.number)

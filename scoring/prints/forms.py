"""What is chosen and typed on the print pages."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from contest.book.text import LARGEST_NUMBER, why_not_text
from contest.models.helpers import NAME_LENGTH
from contest.web.form_fields import choice_field
from scoring.core.record import Record
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import (
    KINDS,
    LABELS,
    MOST_COPIES,
    MOST_PLACES,
    MOST_SHIFT,
    MOST_SPARES,
    PAPERS,
    Choice,
    WrongChoice,
    as_sentence,
)
from scoring.prints.choosing import named, team_names
from scoring.prints.document import Document
from scoring.prints.documents.spares import USUAL_SPARES, next_free
from scoring.prints.material import Material
from scoring.prints.words import list_options

LONGEST_RANGE = 5000


class NumbersField(forms.CharField):
    """Contestant numbers with commas or spaces between, and from-to with a dash; only those that somebody has."""

    def __init__(self, known: set[int]) -> None:
        self._known = known
        super().__init__(
            label=gettext_lazy("Only these numbers"),
            required=False,
            max_length=2000,
            help_text=gettext_lazy("Such as 101, 105 or 110-118."),
            widget=forms.TextInput(attrs={"autocomplete": "off", "inputmode": "numeric"}),
        )

    def clean(self, value: Any) -> tuple[int, ...]:
        numbers: list[int] = []
        for word in super().clean(value).replace("–", "-").replace(",", " ").split():
            first, dash, last = word.partition("-")
            if not first.isdecimal() or (dash and not last.isdecimal()) or len(word) > 21:
                raise forms.ValidationError(_("“{word}” is no number.").format(word=word[:20]))
            if not dash:
                numbers.append(int(first))
                if int(first) not in self._known:
                    raise forms.ValidationError(_("Nobody has number {number}.").format(number=first))
            elif int(last) < int(first) or int(last) - int(first) > LONGEST_RANGE:
                raise forms.ValidationError(_("“{word}” is no range of numbers.").format(word=word))
            else:
                within = [number for number in range(int(first), int(last) + 1) if number in self._known]
                if not within:
                    words = _("Nobody has a number from {first} to {last}.")
                    raise forms.ValidationError(words.format(first=first, last=last))
                numbers += within
        return tuple(dict.fromkeys(numbers))


class NameField(forms.CharField):
    """A team or a contestant by name, as `choosing.named` finds them."""

    def __init__(self, record: Record) -> None:
        self._record = record
        super().__init__(
            label=gettext_lazy("Only this team or contestant"),
            required=False,
            max_length=NAME_LENGTH,
            help_text=gettext_lazy("By name, or a part of it that nobody else has."),
            widget=forms.TextInput(attrs={"autocomplete": "off", "list": "teams"}),
        )

    def clean(self, value: Any) -> tuple[tuple[str, ...], tuple[int, ...]]:
        typed = super().clean(value)
        try:
            return named(self._record, typed) if typed else ((), ())
        except WrongChoice as problem:
            raise forms.ValidationError(as_sentence(problem)) from None


class PrintForm(forms.Form):
    """Which documents, of what, and how."""

    documents = forms.MultipleChoiceField(
        choices=[(document.name, document.title) for document in DOCUMENTS.values()],
        error_messages={
            "required": gettext_lazy("Choose at least one document."),
            "invalid_choice": gettext_lazy("There is no such document."),
        },
    )
    paper = forms.ChoiceField(label=gettext_lazy("Paper"), choices=PAPERS.items(), widget=forms.RadioSelect)
    copies = forms.IntegerField(label=gettext_lazy("Copies"), min_value=1, max_value=MOST_COPIES)
    kinds = forms.MultipleChoiceField(
        label=gettext_lazy("Lists of"), choices=KINDS.items(), required=False, widget=forms.CheckboxSelectMultiple
    )
    lists = forms.MultipleChoiceField(
        label=gettext_lazy("Only these lists"), required=False, widget=forms.CheckboxSelectMultiple
    )
    changed = forms.BooleanField(label=gettext_lazy("Only what changed since the last file"), required=False)
    places = forms.IntegerField(
        label=gettext_lazy("Places"),
        required=False,
        min_value=1,
        max_value=MOST_PLACES,
        help_text=gettext_lazy(
            "How many places of each list get an award; empty: as many as there are ribbons, or ten."
        ),
    )
    classes = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Only these classes"), required=False, coerce=int, widget=forms.CheckboxSelectMultiple
    )
    labels = forms.ChoiceField(label=gettext_lazy("Sheet of labels"), choices=LABELS.items(), required=False)
    skip = forms.IntegerField(
        label=gettext_lazy("Labels used up"),
        required=False,
        min_value=0,
        max_value=29,
        help_text=gettext_lazy("How many are gone from the first sheet."),
    )
    right = forms.IntegerField(
        label=gettext_lazy("Move to the right"),
        required=False,
        min_value=-MOST_SHIFT,
        max_value=MOST_SHIFT,
        help_text=gettext_lazy("Millimetres, where a printer does not meet the labels; -2 is 2 mm to the left."),
    )
    down = forms.IntegerField(
        label=gettext_lazy("Move down"),
        required=False,
        min_value=-MOST_SHIFT,
        max_value=MOST_SHIFT,
        help_text=gettext_lazy("Millimetres; -2 is 2 mm up."),
    )
    spares = forms.IntegerField(
        label=gettext_lazy("Spares"),
        required=False,
        min_value=1,
        max_value=MOST_SPARES,
        help_text=gettext_lazy("How many spare cards and numbers, or sets of cards."),
    )
    first = forms.IntegerField(
        label=gettext_lazy("Spare numbers from"),
        required=False,
        min_value=1,
        max_value=LARGEST_NUMBER,
        help_text=gettext_lazy("Those that somebody has are left out."),
    )
    address = forms.ChoiceField(label=gettext_lazy("Address in square codes"), required=False)

    def __init__(self, data: Any, material: Material, addresses: list[str], usual_paper: str) -> None:
        usual = {"paper": usual_paper, "copies": 1, "kinds": list(KINDS)}
        usual |= {"spares": USUAL_SPARES, "first": next_free(material)}
        super().__init__(data, initial=usual, auto_id="print-%s")
        self.fields["whose"] = NameField(material.record)
        self.fields["numbers"] = NumbersField({person.number for person in material.record.contestants})
        self.material = material
        self.teams = team_names(material.record)
        choice_field(self, "lists").choices = list_options(material)
        choice_field(self, "classes").choices = [
            (judged.number, f"{judged.number} {judged.name}") for judged in material.record.classes
        ]
        choice_field(self, "address").choices = [(address, address) for address in addresses]
        self._likeliest = addresses[0] if addresses else ""
        self.fields["labels"].initial = "letter-30" if usual_paper == "letter" else "a4-24"
        for document in DOCUMENTS.values():
            if document.orders:
                self.fields[f"order-{document.name}"] = forms.ChoiceField(
                    label=_("Order of {document}").format(document=document.title.lower()),
                    choices=document.orders.items(),
                    required=False,
                )

    def clean_documents(self) -> list[str]:
        """Refuses what leads to this laptop while nobody could come."""
        names: list[str] = self.cleaned_data["documents"]
        if not choice_field(self, "address").choices and any("ways_in" in DOCUMENTS[name].needs for name in names):
            raise forms.ValidationError(
                _("No other device can reach this laptop, so join sheets would lead nowhere: connect it to a network.")
            )
        return names

    def orders(self, document: Document) -> forms.BoundField | None:
        return self[f"order-{document.name}"] if document.orders else None

    def choice(self, document: Document) -> Choice:
        """What was chosen for one of the documents; what it does not ask for stays as it is without a choice."""
        typed = self.cleaned_data
        teams, one = typed["whose"]
        answers = {
            "lists": tuple(typed["lists"]),
            "kinds": tuple(typed["kinds"]),
            "classes": tuple(typed["classes"]),
            "numbers": tuple(dict.fromkeys(one + typed["numbers"])),
            "changed": typed["changed"],
            "places": typed["places"] or 0,
            "labels": typed["labels"],
            "skip": typed["skip"] or 0,
            "right": typed["right"] or 0,
            "down": typed["down"] or 0,
            "spares": typed["spares"] or 0,
            "first": typed["first"] or 0,
            "address": typed["address"] or self._likeliest,
            "order": typed.get(f"order-{document.name}", ""),
        }
        asked = {name: value for name, value in answers.items() if name in document.asks}
        asked |= {"teams": teams} if "numbers" in document.asks else {}
        return Choice(paper=typed["paper"], copies=typed["copies"], **asked)


class RibbonsForm(forms.Form):
    """What this contest calls each place, and the colour of its ribbon. A place without a name has no ribbon."""

    def __init__(self, data: Any, known: dict[int, tuple[str, str]], places: int) -> None:
        super().__init__(data, auto_id="ribbon-%s")
        self.places = range(1, places + 1)
        for place in self.places:
            name, colour = known.get(place, ("", ""))
            self.fields[f"name-{place}"] = self._text(_("Name of place {number}").format(number=place), name)
            self.fields[f"colour-{place}"] = self._text(_("Colour of place {number}").format(number=place), colour)

    @staticmethod
    def _text(label: str, initial: str) -> forms.CharField:
        widget = forms.TextInput(attrs={"autocomplete": "off"})
        return forms.CharField(label=label, required=False, max_length=NAME_LENGTH, initial=initial, widget=widget)

    def rows(self) -> list[tuple[int, forms.BoundField, forms.BoundField]]:
        return [(place, self[f"name-{place}"], self[f"colour-{place}"]) for place in self.places]

    def clean(self) -> None:
        for name, value in list(self.cleaned_data.items()):
            if value and (reason := why_not_text(value, pgettext("what was typed", "It"))):
                self.add_error(name, f"{reason}.")
        for place in self.places:
            if self.cleaned_data.get(f"colour-{place}") and not self.cleaned_data.get(f"name-{place}", ""):
                self.add_error(f"name-{place}", _("Give the place a name too, or take its colour away."))

    def ribbons(self) -> dict[int, tuple[str, str]]:
        typed = self.cleaned_data
        return {p: (typed[f"name-{p}"], typed[f"colour-{p}"]) for p in self.places if typed[f"name-{p}"]}

"""What a coach types to make a practice, and a member to join one and to hand in."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.helpers.codes import practice_of
from contest.helpers.forms import WayInForm
from contest.helpers.joining import tidy
from contest.models import Practice, PracticePicture
from contest.models.helpers import NAME_LENGTH
from contest.models.outline import TEXT_LENGTH
from contest.practice.notes import ROWS, field_name
from contest.practice.running import Notes
from contest.uploads.pictures import MOST_OF_PHOTOGRAPH, Shape
from contest.watch.committee_forms import BETWEEN
from contest.web.form_fields import choice_field
from contest.web.middleware import MEGABYTE, MOST_UPLOADED
from scoring.core.placing import ANIMALS, why_not_a_placing, why_not_animals
from scoring.core.points import in_thousands
from scoring.core.practice import MOST_MINUTES

DEFAULT_MINUTES = 12
LONGEST_NOTE = 300


LEAST_LEFT = 10
"""Per cent of a photograph's height and width that cropping leaves."""


class Slider(forms.NumberInput):
    input_type = "range"


class Edge(forms.IntegerField):
    """How much of a photograph is cut off at one edge, in per cent."""

    widget = Slider

    def __init__(self, **options: Any) -> None:
        super().__init__(initial=0, min_value=0, max_value=100 - LEAST_LEFT, **options)


class ClassForm(forms.Form):
    """Which animals, and how long."""

    name = forms.CharField(
        label=gettext_lazy("What is placed"),
        max_length=TEXT_LENGTH,
        help_text=gettext_lazy("Such as “Market steers”."),
        widget=forms.TextInput({"autocomplete": "off"}),
    )
    animals = forms.CharField(
        label=gettext_lazy("Which animals"),
        initial=ANIMALS,
        max_length=40,
        help_text=gettext_lazy("Their labels: 3 to 8 digits or capital letters."),
        widget=forms.TextInput({"autocomplete": "off", "autocapitalize": "characters", "class": "short"}),
    )
    minutes = forms.IntegerField(
        label=gettext_lazy("How many minutes"),
        initial=DEFAULT_MINUTES,
        min_value=1,
        max_value=MOST_MINUTES,
        widget=forms.TextInput({"inputmode": "numeric", "maxlength": "3", "class": "short"}),
    )

    def clean_animals(self) -> str:
        animals = BETWEEN.sub("", self.cleaned_data["animals"]).upper()
        if problem := why_not_animals(animals):
            raise forms.ValidationError(problem)
        return animals


class KeepsForm(forms.Form):
    """Who, and whether they are kept."""

    keeps = forms.ChoiceField(
        label=gettext_lazy("Who"),
        choices=[
            ("", gettext_lazy("whoever has the code; first names or numbers, and all of it gone a day later")),
            ("yes", gettext_lazy("whoever has the code; kept, with the names, until you delete it")),
        ],
        required=False,
        widget=forms.RadioSelect,
    )

    def clean_keeps(self) -> bool:
        return bool(self.cleaned_data["keeps"])


class PracticeForm(ClassForm, KeepsForm):
    """What a practice is made of."""


class OpenForm(KeepsForm):
    """A practice that was saved to a file."""

    file = forms.FileField(
        label=gettext_lazy("File of the practice, a .zip"),
        widget=forms.FileInput({"accept": ".zip,application/zip", "data-most-bytes": MOST_UPLOADED}),
    )

    def clean_file(self) -> UploadedFile:
        file: UploadedFile = self.cleaned_data["file"]
        if (file.size or 0) > MOST_UPLOADED:
            told = _("The file is larger than {most} MB; open it with fewer or smaller pictures.")
            raise forms.ValidationError(told.format(most=MOST_UPLOADED // MEGABYTE))
        return file


class PictureForm(forms.Form):
    """A photograph of one animal from one side, and what it shows."""

    animal = forms.ChoiceField(label=gettext_lazy("Animal"))
    view = forms.ChoiceField(label=gettext_lazy("Seen"), choices=PracticePicture.View.choices)
    says = forms.CharField(
        label=gettext_lazy("What it shows, in words"),
        max_length=TEXT_LENGTH,
        help_text=gettext_lazy("For whoever cannot see it, such as “black steer, long and level, seen from the side”."),
        widget=forms.TextInput({"autocomplete": "off"}),
    )
    picture = forms.FileField(
        label=gettext_lazy("Photograph"), widget=forms.FileInput({"accept": "image/jpeg,image/png"})
    )

    def __init__(self, animals: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice_field(self, "animal").choices = [(animal, animal) for animal in animals]

    def clean_picture(self) -> UploadedFile:
        file: UploadedFile = self.cleaned_data["picture"]
        if (file.size or 0) > MOST_OF_PHOTOGRAPH:
            told = _("The photograph has {size} bytes; {most} is the most.")
            size, most = in_thousands(file.size or 0), in_thousands(MOST_OF_PHOTOGRAPH)
            raise forms.ValidationError(told.format(size=size, most=most))
        return file


class ShapeForm(forms.Form):
    """How a photograph is turned and cropped, and what it shows."""

    quarters = forms.TypedChoiceField(
        label=gettext_lazy("Turn it"),
        choices=[
            (0, gettext_lazy("not at all")),
            (1, gettext_lazy("a quarter to the right")),
            (3, gettext_lazy("a quarter to the left")),
            (2, gettext_lazy("upside down")),
        ],
        coerce=int,
        initial=0,
    )
    top = Edge(label=gettext_lazy("at the top"))
    bottom = Edge(label=gettext_lazy("at the bottom"))
    left = Edge(label=gettext_lazy("on the left"))
    right = Edge(label=gettext_lazy("on the right"))
    says = forms.CharField(
        label=gettext_lazy("What it shows, in words"),
        max_length=TEXT_LENGTH,
        widget=forms.TextInput({"autocomplete": "off"}),
    )

    def clean(self) -> dict[str, Any]:
        typed: dict[str, Any] = super().clean() or {}
        for one, other in (("top", "bottom"), ("left", "right")):
            if typed.get(one, 0) + typed.get(other, 0) > 100 - LEAST_LEFT:
                told = _("Together with the edge across, at most {most} % can be cut off.")
                self.add_error(other, told.format(most=100 - LEAST_LEFT))
        return typed

    @property
    def shape(self) -> Shape:
        edges = ("quarters", "top", "right", "bottom", "left")
        return Shape(**{edge: self.cleaned_data[edge] for edge in edges})

    @property
    def edges(self) -> list[forms.BoundField]:
        return [self[edge] for edge in ("top", "bottom", "left", "right")]


class JoinPracticeForm(WayInForm):
    name = forms.CharField(
        label=gettext_lazy("First name or number"),
        max_length=NAME_LENGTH,
        widget=forms.TextInput({"autocomplete": "off", "spellcheck": "false"}),
    )
    code = forms.CharField(
        label=gettext_lazy("Code of the practice"),
        max_length=40,
        widget=forms.TextInput(
            {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false", "class": "code"}
        ),
    )

    def clean_name(self) -> str:
        return tidy(self.cleaned_data["name"])

    def clean_code(self) -> Practice:
        practice = practice_of(self.cleaned_data["code"])
        if practice is None:
            raise forms.ValidationError(_("That is not the code of a practice. The coach has it."))
        return practice


class OfClassForm(forms.Form):
    """What a member hands in on a class: their placing of it, and more beside."""

    number = forms.IntegerField(min_value=1, max_value=1000, widget=forms.HiddenInput)
    placing = forms.CharField(
        label=gettext_lazy("Placing, the best first"),
        max_length=40,
        widget=forms.TextInput({"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
    )

    def __init__(self, animals: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.animals = animals
        self.fields["placing"].widget.attrs["inputmode"] = "numeric" if animals.isdigit() else "text"

    def clean_placing(self) -> str:
        placing = BETWEEN.sub("", self.cleaned_data["placing"]).upper()
        if problem := why_not_a_placing(placing, self.animals):
            raise forms.ValidationError(problem)
        return placing

    @property
    def trouble(self) -> str:
        return next((str(errors[0]) for errors in self.errors.values()), "")


class HandInForm(OfClassForm):
    """A placing, and the notes on each animal where they are handed in too."""

    def __init__(self, animals: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(animals, *args, **kwargs)
        for animal in animals:
            for row in ROWS:
                self.fields[field_name(animal, row)] = forms.CharField(required=False, max_length=LONGEST_NOTE)

    @property
    def notes(self) -> Notes:
        """What was noted, by animal and row; nothing where nothing was."""
        typed = {
            animal: {row: text for row in ROWS if (text := self.cleaned_data[field_name(animal, row)])}
            for animal in self.animals
        }
        return {animal: rows for animal, rows in typed.items() if rows}

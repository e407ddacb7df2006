"""What an official of a committee types, or somebody types for them; and who sits where."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from contest.keys import LARGEST_CUT
from contest.models import CommitteeOfficial, JudgingClass
from contest.models.outline import TEXT_LENGTH
from scoring.core.placing import cut_name, why_not_a_placing

LONGEST_REASON = 150
BETWEEN = re.compile(r"[\s,.;:/|_-]")
_plain = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false", "class": "counts"}


class PlacedForm(forms.Form):
    """A placing and its cuts, in fields of their own: an official has never typed here before."""

    placing = forms.CharField(label=_("Placing, the best first"), max_length=40, widget=forms.TextInput(_plain))
    reason = forms.CharField(label=_("Why it changes"), required=False, max_length=LONGEST_REASON)

    def __init__(self, animals: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.animals = animals
        self.fields["placing"].widget.attrs["inputmode"] = "numeric" if animals.isdigit() else "text"
        for place in range(len(animals) - 1):
            widget = forms.TextInput(_plain | {"inputmode": "numeric", "maxlength": "6"})
            label = capfirst(gettext("{name} cut").format(name=cut_name(place, len(animals))))
            self.fields[f"cut{place}"] = forms.IntegerField(
                label=label, min_value=0, max_value=LARGEST_CUT, widget=widget
            )

    @staticmethod
    def saying(placing: str, cuts: tuple[int, ...]) -> dict[str, Any]:
        """What the fields begin with, to say this."""
        return {"placing": placing, **{f"cut{place}": cut for place, cut in enumerate(cuts)}}

    def clean_placing(self) -> str:
        placing = BETWEEN.sub("", self.cleaned_data["placing"]).upper()
        if problem := why_not_a_placing(placing, self.animals):
            raise forms.ValidationError(problem)
        return placing

    @property
    def cut_fields(self) -> list[forms.BoundField]:
        return [self[f"cut{place}"] for place in range(len(self.animals) - 1)]

    @property
    def cuts(self) -> tuple[int, ...]:
        return tuple(self.cleaned_data[field.name] for field in self.cut_fields)

    @property
    def first_trouble(self) -> str:
        return next((f"{self[name].label}: {errors[0]}" for name, errors in self.errors.items()), "")


class AgreedForm(PlacedForm):
    """What a committee agreed on, and who of it did. `shown` stands for what had been handed in when it was shown."""

    shown = forms.CharField(widget=forms.HiddenInput, max_length=64)

    def __init__(self, animals: str, officials: list[CommitteeOfficial], *args: Any, **kwargs: Any) -> None:
        super().__init__(animals, *args, **kwargs)
        rows = CommitteeOfficial.objects.filter(pk__in=[official.pk for official in officials])
        self.fields["agreed"] = forms.ModelMultipleChoiceField(
            rows,
            label=_("Agreed by"),
            initial=officials,
            widget=forms.CheckboxSelectMultiple,
            error_messages={"required": _("tick who agreed")},
        )


class NameForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=TEXT_LENGTH, widget=forms.TextInput({"autocomplete": "off"}))


class SeatsForm(forms.Form):
    """Which classes an official places, by number."""

    classes = forms.TypedMultipleChoiceField(
        label=_("Places classes"), required=False, coerce=int, widget=forms.CheckboxSelectMultiple
    )
    is_chair = forms.BooleanField(label=_("Chair: sees all side by side, once they have handed in"), required=False)

    def __init__(self, classes: Iterable[JudgingClass], *args: Any, **kwargs: Any) -> None:
        """Of the `classes` that have cards."""
        super().__init__(*args, **kwargs)
        choices = [(judged.number, str(judged)) for judged in classes]
        self.fields["classes"].choices = choices  # type: ignore[attr-defined]  # a field of choices has them

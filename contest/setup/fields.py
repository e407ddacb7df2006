"""Fields of the set-up's forms."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext

from contest.book.text import why_not_code, why_not_text
from contest.models.outline import CODE_LENGTH, TEXT_LENGTH
from scoring.core.placing import ANIMALS, why_not_animals

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

Choices = Iterable[tuple[Any, "str | _StrPromise"]]
Effects = Callable[[], Mapping[Any, "str | _StrPromise"]]


class Explained(str):
    """The words of a choice, with its `effect`: what it comes to on an example."""

    effect: str | _StrPromise = ""

    @classmethod
    def choices(cls, choices: Choices, effects: Mapping[Any, str | _StrPromise]) -> list[tuple[Any, Explained]]:
        explained = []
        for value, words in choices:
            label = cls(words)
            label.effect = effects.get(value, "")
            explained.append((value, label))
        return explained


class TextField(forms.CharField):
    def __init__(
        self, label: str | _StrPromise, required: bool = True, max_length: int = TEXT_LENGTH, **options: Any
    ) -> None:
        widget = forms.TextInput(attrs={"autocomplete": "off"})
        super().__init__(label=label, required=required, max_length=max_length, widget=widget, **options)

    def validate(self, value: str) -> None:
        super().validate(value)
        if reason := why_not_text(value, pgettext("what was typed", "It")):
            raise forms.ValidationError(f"{reason}.")


class CodeField(forms.CharField):
    def __init__(self, example: str) -> None:
        widget = forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false", "class": "short"})
        told = format_lazy(_("A short name for lists and files, such as {example}."), example=example)
        super().__init__(label=_("Code"), max_length=CODE_LENGTH, widget=widget, help_text=told)

    def validate(self, value: str) -> None:
        super().validate(value)
        if reason := why_not_code(value):
            raise forms.ValidationError(reason)


class AnimalsField(forms.CharField):
    """The labels of a class's animals, such as `ABXY`: typed in either case, with spaces or commas or without."""

    def __init__(self) -> None:
        widget = forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false", "class": "short"})
        told = _("Their labels on cards, 3 to 8 digits or letters, such as ABXY or ABCXYZ. Left empty: 1234.")
        super().__init__(label=_("Animals"), required=False, max_length=40, widget=widget, help_text=told)

    def clean(self, value: Any) -> str:
        labels = re.sub(r"[\s,]", "", super().clean(value)).upper() or ANIMALS
        if reason := why_not_animals(labels):
            raise forms.ValidationError(f"{reason}.")
        return labels


class NumberField(forms.IntegerField):
    def __init__(
        self, label: str | _StrPromise, least: int, most: int, help_text: str | _StrPromise = "", **options: Any
    ) -> None:
        widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "short"})
        super().__init__(label=label, min_value=least, max_value=most, widget=widget, help_text=help_text, **options)


class YesNoField(forms.TypedChoiceField):
    def __init__(self, label: str | _StrPromise, choices: Choices, effects: Effects = dict) -> None:
        def coerce(value: Any) -> bool:
            return bool(value == "True")

        super().__init__(label=label, choices=explained(choices, effects), coerce=coerce, widget=forms.RadioSelect)


def one_of(label: str | _StrPromise, choices: Choices, effects: Effects = dict, **options: Any) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=explained(choices, effects), widget=forms.RadioSelect, **options)


def explained(choices: Choices, effects: Effects) -> Callable[[], list[tuple[Any, Explained]]]:
    """The choices for whoever is shown the form, in their language."""
    return lambda: Explained.choices(choices, effects())

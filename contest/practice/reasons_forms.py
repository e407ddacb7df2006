"""What is typed about sets of reasons in a practice."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.models.outline import TEXT_LENGTH
from contest.practice.forms import OfClassForm
from contest.practice.outline import parts
from contest.practice.terms import LONGEST_LIST
from scoring.core.practice import ASPECTS, MOST_MARK, MOST_REASONS_MINUTES

LONGEST_PART = 600
"""Characters of one part of an outline."""
LONGEST_COMMENT = 1000
MOST_WEIGHT = 100

ASPECT_NAMES = {
    "accuracy": gettext_lazy("Accuracy"),
    "delivery": gettext_lazy("Delivery"),
    "terms": gettext_lazy("Terms"),
    "organisation": gettext_lazy("Organization"),
}


class OutlineForm(OfClassForm):
    """The outline of a member's set."""

    def __init__(self, animals: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(animals, *args, **kwargs)
        for part in parts(animals) if animals else ():
            self.fields[part] = forms.CharField(required=False, max_length=LONGEST_PART)

    @property
    def outline(self) -> dict[str, str]:
        """The words of each part that has any."""
        return {part: text for part in parts(self.animals) if (text := self.cleaned_data[part])}


def _whole(label: Any, most: int, least: int = 0, **options: Any) -> forms.IntegerField:
    widget = forms.TextInput({"inputmode": "numeric", "autocomplete": "off", "maxlength": "3", "class": "short"})
    return forms.IntegerField(label=label, min_value=least, max_value=most, widget=widget, **options)


class ScoreForm(forms.Form):
    """What somebody makes of a set: a mark of 0 to 10 for each aspect, and a comment."""

    comment = forms.CharField(
        label=gettext_lazy("Comment"),
        required=False,
        max_length=LONGEST_COMMENT,
        help_text=gettext_lazy("What to keep, and one thing to work on. Whoever gave the set reads it."),
        widget=forms.Textarea({"rows": 3}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for aspect, label in ASPECT_NAMES.items():
            self.fields[aspect] = _whole(label, MOST_MARK)
        self.order_fields(ASPECTS)

    @property
    def marks(self) -> dict[str, int]:
        return {aspect: self.cleaned_data[aspect] for aspect in ASPECTS}

    @property
    def aspects(self) -> list[forms.BoundField]:
        return [self[aspect] for aspect in ASPECTS]


class ReasonsForm(forms.Form):
    """How long a set takes, how much each aspect counts, and who scores."""

    minutes = _whole(gettext_lazy("Minutes for a set"), MOST_REASONS_MINUTES, 1)
    peers_score = forms.BooleanField(
        label=gettext_lazy("Members score each other’s sets, and see nobody’s name while they do"), required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for aspect, label in ASPECT_NAMES.items():
            self.fields[aspect] = _whole(label, MOST_WEIGHT)

    def clean(self) -> dict[str, Any]:
        typed: dict[str, Any] = super().clean() or {}
        if not any(typed.get(aspect, 1) for aspect in ASPECTS):
            self.add_error("accuracy", _("At least one of the four must count."))
        return typed

    @property
    def weights(self) -> dict[str, int]:
        return {aspect: self.cleaned_data[aspect] for aspect in ASPECTS}

    @property
    def aspects(self) -> list[forms.BoundField]:
        return [self[aspect] for aspect in ASPECTS]


class TermsForm(forms.Form):
    """Words of the trade for a species."""

    species = forms.CharField(
        label=gettext_lazy("Species"),
        max_length=TEXT_LENGTH,
        required=False,
        help_text=gettext_lazy("Empty for words that fit any."),
        widget=forms.TextInput({"autocomplete": "off"}),
    )
    words = forms.CharField(
        label=gettext_lazy("Words, one line each"),
        max_length=LONGEST_LIST,
        required=False,
        help_text=gettext_lazy("A list without words is deleted."),
        widget=forms.Textarea({"rows": 6}),
    )

    def clean_species(self) -> str:
        return " ".join(self.cleaned_data["species"].split())

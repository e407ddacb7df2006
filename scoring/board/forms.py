"""What an announcer types."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from contest.models.outline import TEXT_LENGTH
from contest.web.form_fields import choice_field
from scoring.board.awards import ListKey, NamedList
from scoring.board.queue import MOST_PLACES

PLACES: dict[str, Any] = {"min_value": 1, "max_value": MOST_PLACES, "label": _("Places")}


class QueueForm(forms.Form):
    """Lists to be read, each called `division/code/kind`, and how many places of each."""

    lists = forms.MultipleChoiceField(
        label=_("Lists"), widget=forms.CheckboxSelectMultiple, error_messages={"required": _("choose a list")}
    )
    places = forms.IntegerField(initial=10, **PLACES)
    sure = forms.BooleanField(error_messages={"required": _("Say that the results may vanish, or queue nothing.")})

    def __init__(self, *args: Any, others: Sequence[NamedList], takes_away: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["sure"].required = takes_away
        choice_field(self, "lists").choices = [("/".join(named.key), str(named)) for named in others]

    @property
    def keys(self) -> list[ListKey]:
        return [ListKey(*text.split("/")) for text in self.cleaned_data["lists"]]


class ChangeForm(forms.Form):
    """What is done with a queued list: `wish` is the button; `places` counts for one of them."""

    wish = forms.ChoiceField(choices=[(wish, wish) for wish in ("up", "down", "out", "places")])
    places = forms.IntegerField(required=False, **PLACES)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("wish") == "places" and not cleaned.get("places") and "places" not in self.errors:
            self.add_error("places", gettext("say how many"))
        return cleaned


class MoveForm(forms.Form):
    """The step that a move was made at, and the list that goes on stage."""

    step = forms.IntegerField(min_value=0)
    to = forms.IntegerField(required=False)


class SayForm(forms.Form):
    """How a name is said; `was` is what was written before."""

    say = forms.CharField(required=False, max_length=TEXT_LENGTH, label=_("Said like"))
    was = forms.CharField(required=False, max_length=TEXT_LENGTH, widget=forms.HiddenInput)

"""What is typed about who goes on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from contest.models.outline import TEXT_LENGTH
from contest.web.form_fields import choice_field
from scoring.board.awards import ListKey, NamedList
from scoring.core.going_on import Wanted
from scoring.next_level.choosing import MOST_PLACES

DIGITS = forms.NumberInput(attrs={"inputmode": "numeric"})


class WantedForm(forms.Form):
    """Which list, how many of it go on and how many stand in."""

    list = forms.ChoiceField(label=_("List"), error_messages={"required": _("Choose a list.")})
    places = forms.IntegerField(label=_("How many go"), min_value=1, max_value=MOST_PLACES, widget=DIGITS)
    alternates = forms.IntegerField(
        label=_("Alternates"), min_value=0, max_value=MOST_PLACES, required=False, initial=2, widget=DIGITS
    )
    besides_teams = forms.BooleanField(
        label=_("Whoever goes with a team takes no individual place"), required=False, initial=True
    )

    def __init__(self, *args: Any, lists: Sequence[NamedList], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice_field(self, "list").choices = [("/".join(named.key), str(named)) for named in lists]

    @property
    def wanted(self) -> Wanted:
        cleaned = self.cleaned_data
        division, code, kind = ListKey(*cleaned["list"].split("/"))
        besides = cleaned["besides_teams"] and kind == "individuals"
        return Wanted(division, code, kind, cleaned["places"], cleaned["alternates"] or 0, besides)  # type: ignore[arg-type]  # one of the choices


class DeclineForm(forms.Form):
    kind = forms.ChoiceField(choices=[("individuals", ""), ("teams", "")])
    division = forms.CharField(max_length=TEXT_LENGTH)
    who = forms.CharField(max_length=TEXT_LENGTH, strip=False)
    reason = forms.CharField(max_length=TEXT_LENGTH, required=False)


class FileForm(forms.Form):
    came_from = forms.CharField(label=_("Came from"), max_length=TEXT_LENGTH, required=False)

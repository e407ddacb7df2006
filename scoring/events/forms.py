"""What the superintendent types of a day of several contests."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from contest.entries.forms import Text
from contest.models import Contest, Event
from contest.web.form_fields import row_field

MOST_POINTS = 1000


class EventForm(forms.Form):
    name = Text(_("Name"), required=True)
    held_on = forms.DateField(label=_("Date"), required=False, widget=forms.DateInput(attrs={"type": "date"}))
    contests: forms.ModelMultipleChoiceField[Any] = forms.ModelMultipleChoiceField(
        queryset=None, label=_("Contests"), widget=forms.CheckboxSelectMultiple
    )
    by = forms.ChoiceField(label=_("Sweepstakes by"), choices=Event.By)
    points = Text(_("Points for the ranks, the first rank first"))
    needs_all = forms.BooleanField(label=_("Only who is in every contest"), required=False)
    parts_ties: forms.ModelChoiceField[Any] = forms.ModelChoiceField(
        queryset=None, label=_("Equal sums are parted by the total in"), required=False, empty_label=_("no contest")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("contests", "parts_ties"):
            row_field(self, name).queryset = Contest.objects.all()

    def clean_points(self) -> str:
        words = self.cleaned_data["points"].replace(",", " ").split()
        if any(not (word.isascii() and word.isdecimal() and int(word[:5]) <= MOST_POINTS) for word in words):
            raise forms.ValidationError(gettext("Whole numbers with spaces between, such as 10 9 8."))
        return " ".join(words) or "1"

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        named = cleaned.get("parts_ties")
        if named and named not in cleaned.get("contests", []):
            self.add_error("parts_ties", gettext("Choose one of the day’s own contests."))
        return cleaned

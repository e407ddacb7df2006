"""What the coach types of the library."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from contest.models import Practice
from contest.models.outline import TEXT_LENGTH
from contest.web.form_fields import choice_field
from scoring.library.finding import EASY, HARD
from scoring.models import Season, SeasonMember

MOST_OFFERED = 40


class KeepForm(forms.Form):
    practice = forms.TypedChoiceField(label=gettext_lazy("Practice"), coerce=int)
    species = forms.CharField(
        label=gettext_lazy("Species"),
        max_length=TEXT_LENGTH,
        help_text=gettext_lazy("Such as “beef”, by which it is found again."),
        widget=forms.TextInput({"autocomplete": "off"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = Practice.objects.exclude(classes__official="").distinct().prefetch_related("classes")[:MOST_OFFERED]
        choice_field(self, "practice").choices = [
            (row.pk, ", ".join(judged.name for judged in row.classes.all())) for row in rows
        ]


class FindForm(forms.Form):
    find = forms.CharField(label=gettext_lazy("Words"), required=False, max_length=60)
    order = forms.ChoiceField(
        label=gettext_lazy("Order"),
        required=False,
        choices=[
            ("", gettext_lazy("by species")),
            (HARD, gettext_lazy("the hardest first")),
            (EASY, gettext_lazy("the easiest first")),
        ],
    )
    like = forms.TypedChoiceField(
        label=gettext_lazy("Like the pairs that this member misses"), required=False, coerce=int, empty_value=None
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        of_ours = SeasonMember.objects.filter(entries__isnull=False, season__in=Season.objects.all())
        members = of_ours.distinct().order_by("-season", "number")[:200]
        choice_field(self, "like").choices = [
            ("", "–"),
            *((member.pk, f"{member.number} {member.name}".strip()) for member in members),
        ]

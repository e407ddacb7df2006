"""What is sent to enter scores."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from contest.changes.exceptions import NotPossible
from contest.desk.forms import LARGEST_NUMBER, ReadingForm
from contest.models.outline import TEXT_LENGTH
from reasons.scores.entry import points_of
from scoring.core.record import HUNDREDTHS

NO_SCORE = "none"
"""What is sent in place of points where the slip says that no score was given."""


class PointsField(forms.CharField):
    """Points as people type them, or NO_SCORE; cleaned, hundredths of a point, or None for no score."""

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if typed in (NO_SCORE, "-"):
            return None
        try:
            return points_of(typed)
        except NotPossible as problem:
            raise forms.ValidationError(str(problem)) from None


class ScoreForm(ReadingForm):
    """One score as a page's script sends it; `of` is a contestant's number or a team's key."""

    of = forms.IntegerField(min_value=1, max_value=LARGEST_NUMBER)
    points = PointsField()


class PlainScoreForm(forms.Form):
    """One score as a page without script sends it; `number` is what a line is chosen by."""

    number = forms.IntegerField(
        min_value=1,
        max_value=LARGEST_NUMBER,
        error_messages={"required": _("Whose score is it?"), "invalid": _("Type the number in digits.")},
    )
    points = PointsField(error_messages={"required": _("Type the score, such as 43 or 43.5.")})
    sure = forms.CharField(required=False)  # the low score that was asked for, as it was typed

    def is_unsure(self, low: int) -> bool:
        """Whether the score is very low, up to `low` points, and its reader has not been asked yet."""
        points = self.cleaned_data["points"]
        return points is not None and points <= low * HUNDREDTHS and self.cleaned_data["sure"] != self.data["points"]


class OfficialForm(forms.Form):
    name = forms.CharField(
        max_length=TEXT_LENGTH,
        error_messages={"required": _("Give the official a name or a letter.")},
    )

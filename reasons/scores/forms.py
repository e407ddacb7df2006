"""What is sent to enter scores."""

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from contest.changes.exceptions import NotPossible
from contest.desk.forms import LARGEST_NUMBER, ReadingForm
from contest.models.outline import TEXT_LENGTH
from contest.slips.typed import Unclear
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


class ChoiceForm(ReadingForm):
    """What was chosen, as a page's script sends it; `of` is a contestant's number."""

    of = forms.IntegerField(min_value=1, max_value=LARGEST_NUMBER)
    chosen = forms.CharField(required=False, max_length=TEXT_LENGTH)


class PlainForm(forms.Form):
    """One slip as a page without script sends it; `number` is what a line is chosen by, `typed` what is on it."""

    typed: ClassVar[str]
    number = forms.IntegerField(
        min_value=1,
        max_value=LARGEST_NUMBER,
        error_messages={"required": _("Whose score is it?"), "invalid": _("Type the number in digits.")},
    )
    sure = forms.CharField(required=False)  # what was asked for, as it was typed

    def value_for(self, stack: Any, slip: Any) -> Any:
        """What the slip says. Raises NotPossible for what it cannot say, and Unsure for what is odd, the first time."""
        value, odd = self.said(stack, slip)
        if odd and self.cleaned_data["sure"] != self.data[self.typed]:
            raise Unsure(odd)
        return value

    def said(self, stack: Any, slip: Any) -> tuple[Any, str]:
        """What the slip says, and what is odd about it; empty where nothing is."""
        raise NotImplementedError


class Unsure(NotPossible):
    """Raised for something odd, whose reader has not been asked yet whether it is right."""


class PlainScoreForm(PlainForm):
    typed = "points"
    points = PointsField(error_messages={"required": _("Type the score, such as 43 or 43.5.")})

    def said(self, stack: Any, slip: Any) -> tuple[Any, str]:
        points = self.cleaned_data["points"]
        low = points is not None and points <= stack.low * HUNDREDTHS
        return points, gettext("that is very low: save it once more if it is right") if low else ""


class PlainChoiceForm(PlainForm):
    typed = "chosen"
    chosen = forms.CharField(required=False, max_length=TEXT_LENGTH)

    def said(self, stack: Any, slip: Any) -> tuple[Any, str]:
        chosen = chosen_on(slip, self.cleaned_data["chosen"])
        warning = slip.warning(chosen)
        told = gettext("{warning}. Save it once more if the card says so")
        return chosen, told.format(warning=warning) if warning else ""


def chosen_on(slip: Any, typed: str) -> str:
    """What somebody typed of a card. Raises NotPossible."""
    try:
        chosen: str = slip.typed(typed)
    except Unclear as unclear:
        raise NotPossible(str(unclear)) from None
    return chosen


class OfficialForm(forms.Form):
    name = forms.CharField(
        max_length=TEXT_LENGTH,
        error_messages={"required": _("Give the official a name or a letter.")},
    )

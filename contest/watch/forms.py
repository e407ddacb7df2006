"""What the superintendent types about a doubt."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from django import forms

from contest.models.outline import TEXT_LENGTH
from contest.watch.typed import TypedDecision, Unclear, parse_decision, parse_points

ABOUT_CARDS = (
    "as the card says",
    "one reading was a slip of the hand",
    "the fourth place by elimination",
    "the card cannot be read",
    "two cards: this one counts",
)
ABOUT_SLIPS = ("as the slip says", "one reading was a slip of the hand", "asked the official")
ABOUT_STRAYS = (
    "the number was misread",
    "the card lay in the wrong stack",
    "read by mistake",
    "not a card of this contest",
)
ABOUT_ABSENT = ("left early", "the card stays, and counts for nobody")
LONGEST_REASON = 150

_plain = {"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}


class ReasonedForm(forms.Form):
    """A form that says why: a reason to pick, or one in words, which goes first."""

    quick = forms.ChoiceField(label="Reason")
    reason = forms.CharField(
        label="Reason in your own words", required=False, max_length=LONGEST_REASON, widget=forms.TextInput(_plain)
    )
    back = forms.CharField(required=False, max_length=10, widget=forms.HiddenInput)
    next = forms.CharField(required=False, max_length=60, widget=forms.HiddenInput)

    def __init__(self, *args, key: str, reasons: Sequence[str], **kwargs):
        super().__init__(*args, auto_id=f"{key}-%s", **kwargs)
        self.fields["quick"].choices = [(reason, reason) for reason in reasons]
        self.fields["quick"].initial = reasons[0]

    @property
    def because(self) -> str:
        return self.cleaned_data["reason"].strip() or self.cleaned_data["quick"]


class DecideForm(ReasonedForm):
    """What counts. A button that picks a reading sends its letter as `pick`."""

    counts = forms.CharField(
        label="What counts", required=False, max_length=40, widget=forms.TextInput(_plain | {"class": "counts"})
    )
    on_card = forms.CharField(
        label="What is on the card, if it says less",
        required=False,
        max_length=TEXT_LENGTH,
        widget=forms.TextInput(_plain),
    )
    seen = forms.CharField(required=False, max_length=2000, widget=forms.HiddenInput)
    pick = forms.CharField(required=False, max_length=1)

    def __init__(self, *args, values: Sequence, points: bool = False, **kwargs):
        super().__init__(*args, reasons=ABOUT_SLIPS if points else ABOUT_CARDS, **kwargs)
        self.is_points = points
        self._parse = partial(parse_points if points else parse_decision, readings=values)

    def clean(self):
        cleaned = super().clean()
        try:
            typed = self._parse(cleaned.get("pick") or cleaned.get("counts", ""))
        except Unclear as unclear:
            self.add_error("counts", str(unclear))
            return cleaned
        if isinstance(typed, TypedDecision):
            cleaned["counts"] = typed.placing
            cleaned["on_card"] = cleaned.get("on_card") or typed.on_card
        else:
            cleaned["counts"] = typed
        return cleaned


class StrayForm(ReasonedForm):
    """Where a stray reading belongs. `act` is the button: `move` or `set-aside`."""

    number = forms.IntegerField(
        label="Contestant", required=False, min_value=1, max_value=2**31 - 1, widget=forms.TextInput(_plain)
    )
    class_number = forms.IntegerField(
        label="Class", required=False, min_value=1, max_value=2**31 - 1, widget=forms.TextInput(_plain)
    )
    act = forms.ChoiceField(choices=[("move", "move"), ("set-aside", "set aside")])

    def __init__(self, *args, **kwargs):
        super().__init__(*args, reasons=ABOUT_STRAYS, **kwargs)

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("act") == "move":
            for name, what in (("number", "whose card it is"), ("class_number", "which class it is of")):
                if not cleaned.get(name) and name not in self.errors:
                    self.add_error(name, f"say {what}")
        return cleaned


class AbsentForm(ReasonedForm):
    """What becomes of somebody absent who has cards. `act` is the button: `present` or `leave`."""

    act = forms.ChoiceField(choices=[("present", "present"), ("leave", "leave")])

    def __init__(self, *args, **kwargs):
        super().__init__(*args, reasons=ABOUT_ABSENT, **kwargs)

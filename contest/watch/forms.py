"""What the superintendent types about a doubt."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any

from django import forms

from contest.desk.forms import LARGEST_NUMBER
from contest.models import Contest, Part, Team
from contest.models.outline import TEXT_LENGTH
from contest.watch.choosing import LONGEST
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

ABOUT_SLIPS_ASTRAY = (
    "the number was misread",
    "read on the wrong sheet",
    "read by mistake",
    "not a slip of this contest",
)
_plain = {"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}


def _number(label: str) -> forms.IntegerField:
    widget = forms.TextInput(_plain | {"class": "counts", "inputmode": "numeric"})
    return forms.IntegerField(label=label, required=False, min_value=1, max_value=LARGEST_NUMBER, widget=widget)


class ReasonedForm(forms.Form):
    """A form that says why: a reason to pick, or one in words, which goes first."""

    quick = forms.ChoiceField(label="Reason")
    reason = forms.CharField(
        label="Reason in your own words", required=False, max_length=LONGEST_REASON, widget=forms.TextInput(_plain)
    )
    back = forms.CharField(required=False, max_length=10, widget=forms.HiddenInput)
    next = forms.CharField(required=False, max_length=60, widget=forms.HiddenInput)
    among = forms.CharField(required=False, max_length=LONGEST, widget=forms.HiddenInput)

    def __init__(self, *args: Any, key: str, reasons: Sequence[str], **kwargs: Any) -> None:
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

    def __init__(self, *args: Any, values: Sequence, points: bool = False, **kwargs: Any) -> None:
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


class MoveForm(ReasonedForm):
    """Where a reading belongs, or that it belongs nowhere. `act` is the button: `move` or `set-aside`.

    `places` are the fields that say where, the first of them whose it is.
    """

    act = forms.ChoiceField(choices=[("move", "move"), ("set-aside", "set aside")])
    whose = "say whose score it is"

    def __init__(self, *args: Any, reasons: Sequence[str] = ABOUT_SLIPS_ASTRAY, **kwargs: Any) -> None:
        super().__init__(*args, reasons=reasons, **kwargs)

    @property
    def places(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name in ("number", "team", "class_number", "official", "part")]

    def focus(self) -> None:
        self.places[0].field.widget.attrs["autofocus"] = True

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("act") == "move":
            wanted = {self.places[0].name: self.whose, "class_number": "say which class it is of"}
            for name, what in wanted.items():
                if name in self.fields and not cleaned.get(name) and name not in self.errors:
                    self.add_error(name, what)
        return cleaned


class StrayForm(MoveForm):
    """Where the reading of a card belongs."""

    whose = "say whose card it is"

    number = _number("Belongs to contestant")
    class_number = _number("in class")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, reasons=ABOUT_STRAYS, **kwargs)


class MoveReasonsForm(MoveForm):
    """Where the reading of a reasons score belongs."""

    number = _number("Belongs to contestant")
    class_number = _number("in class")
    official = forms.ModelChoiceField(None, label="by official", required=False, empty_label=None)

    def __init__(self, *args: Any, contest: Contest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["official"].queryset = contest.reasons_officials.all()


class MoveMarkForm(MoveForm):
    """Where the reading of a mark belongs: to a contestant or, of a part that teams do, to a team."""

    number = _number("Belongs to contestant")
    team = forms.ModelChoiceField(None, label="Belongs to team", required=False, empty_label=None)
    part = forms.ModelChoiceField(None, label="in part", required=False, empty_label=None)

    def __init__(self, *args: Any, of: Part, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["part"].queryset = of.contest.parts.filter(scope=of.scope)
        if of.scope == Part.Scope.TEAM:
            del self.fields["number"]
            teams = Team.objects.filter(division__contest=of.contest).select_related("division")
            self.fields["team"].queryset = teams.order_by("division__position", "name")
            self.fields["team"].label_from_instance = lambda team: f"{team}, {team.division}"
        else:
            del self.fields["team"]


class AbsentForm(ReasonedForm):
    """What becomes of somebody absent who has cards. `act` is the button: `present` or `leave`."""

    act = forms.ChoiceField(choices=[("present", "present"), ("leave", "leave")])

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, reasons=ABOUT_ABSENT, **kwargs)

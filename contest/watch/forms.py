"""What the superintendent types about a doubt."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext, gettext_noop
from django.utils.translation import gettext_lazy as _

from contest.desk.forms import LARGEST_NUMBER
from contest.models import Contest, JudgingClass, Part, Team
from contest.models.outline import TEXT_LENGTH
from contest.slips.cards import CardSlip, CardStack
from contest.slips.choices import ChoiceSlip
from contest.slips.slip import Slip
from contest.slips.typed import Unclear
from contest.watch.doubts import LATE, REPEATED
from contest.watch.filtering import LONGEST
from contest.web.form_fields import TeamField, choice_field, row_field
from scoring.core.placing import ANIMALS

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

ABOUT_ABSENT = (
    gettext_noop("left early"),
    gettext_noop("came too late to compete"),
    gettext_noop("the card stays, and counts for nobody"),
)
RUN_BECAUSE = (gettext_noop("the stack was read as another"),)
MIXUP_BECAUSE = (
    gettext_noop("the papers were looked at, and they are right"),
    gettext_noop("the official was asked: the contestants saw the class otherwise"),
)
LONGEST_REASON = 150
LONGEST_VALUE = 150
"""A hundred answers, with spaces between them."""
_plain = {"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}


def _number(label: StrOrPromise) -> forms.IntegerField:
    widget = forms.TextInput(_plain | {"class": "counts", "inputmode": "numeric"})
    return forms.IntegerField(label=label, required=False, min_value=1, max_value=LARGEST_NUMBER, widget=widget)


def _one_of(label: StrOrPromise) -> forms.ModelChoiceField[Any]:
    return forms.ModelChoiceField(None, label=label, required=False, empty_label=None)


class ReasonedForm(forms.Form):
    """A form that says why: a reason to pick, or one in words, which goes first."""

    quick = forms.ChoiceField(label=_("Reason"))
    reason = forms.CharField(
        label=_("Reason in your own words"), required=False, max_length=LONGEST_REASON, widget=forms.TextInput(_plain)
    )
    back = forms.CharField(required=False, max_length=10, widget=forms.HiddenInput)
    next = forms.CharField(required=False, max_length=60, widget=forms.HiddenInput)
    among = forms.CharField(required=False, max_length=LONGEST, widget=forms.HiddenInput)

    def __init__(self, *args: Any, key: str, reasons: Sequence[str], **kwargs: Any) -> None:
        kwargs["auto_id"] = f"{key}-%s"
        super().__init__(*args, **kwargs)
        choice_field(self, "quick").choices = [(reason, gettext(reason)) for reason in reasons]
        self.fields["quick"].initial = reasons[0]

    @property
    def because(self) -> str:
        because: str = self.cleaned_data["reason"].strip() or self.cleaned_data["quick"]
        return because


FITS = {
    "two cards: this one counts": REPEATED,
    "the card came late": LATE,
    "the slip came late": LATE,
}
"""Reasons that fit one kind of doubt alone, where they come first."""


def fitting(reasons: Sequence[str], doubt: str) -> list[str]:
    """Those of the reasons that fit a kind of doubt, its own first; all of them where the kind is not known."""
    fit = [reason for reason in reasons if not doubt or FITS.get(reason, doubt) == doubt]
    return sorted(fit, key=lambda reason: not doubt or reason not in FITS)


class DecideForm(ReasonedForm):
    """What counts, of a kind of doubt. A button that picks a reading sends its letter as `pick`.

    A reason that was left as it stood gives way to the one that fits what counts, such as that no card was handed in.
    """

    counts = forms.CharField(
        label=_("What counts"),
        required=False,
        max_length=LONGEST_VALUE,
        widget=forms.TextInput(_plain | {"class": "counts"}),
    )
    on_card = forms.CharField(
        label=_("What is on the card, if it says less"),
        required=False,
        max_length=TEXT_LENGTH,
        widget=forms.TextInput(_plain),
    )
    shown = forms.CharField(required=False, max_length=2000, widget=forms.HiddenInput)
    pick = forms.CharField(required=False, max_length=1)

    def __init__(self, *args: Any, kind: Slip, values: Sequence[Any], doubt: str = "", **kwargs: Any) -> None:
        super().__init__(*args, reasons=fitting(kind.decided_because, doubt), **kwargs)
        of_answers = isinstance(kind, ChoiceSlip) and kind.part.questions
        self.typed = "answers" if of_answers else "points" if kind.is_points else kind.name
        self.animals = kind.judging_class.animals if isinstance(kind, CardSlip) else ""
        self._kind = kind
        self._parse = partial(kind.parse, readings=values)
        fits = {"data-none": kind.because_of_none, "data-unreadable": kind.because_unreadable}
        fits["data-gap"] = kind.because_of_a_gap
        choice_field(self, "quick").widget.attrs.update({name: reason for name, reason in fits.items() if reason})

    @property
    def gapped(self) -> str:
        """How a card is typed that says all but one animal."""
        return "312_" if self.animals == ANIMALS else f"{self.animals[:-1]}_"

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        try:
            cleaned["counts"], on_card = self._parse(cleaned.get("pick") or cleaned.get("counts", ""))
            if cleaned.get("quick") == self._kind.decided_because[0]:
                cleaned["quick"] = self._kind.why(cleaned["counts"], on_card) or cleaned["quick"]
            cleaned["on_card"] = cleaned.get("on_card") or on_card
        except Unclear as unclear:
            self.add_error("counts", str(unclear))
        return cleaned


class MoveForm(ReasonedForm):
    """Where a reading of some kind of slip belongs, or that it belongs nowhere. `act` is the button: `move` or
    `set-aside`. What is left open is as it was; `whose_alone` leaves open all but whose it is."""

    act = forms.ChoiceField(choices=[("move", "move"), ("set-aside", "set aside")])
    number = _number(_("Belongs to contestant"))
    team = TeamField(None, label=_("Belongs to team"), required=False, empty_label=None)
    class_number = _number(_("in class"))
    official = _one_of(_("by official"))
    part = _one_of(_("in part"))
    shown = forms.CharField(required=False, max_length=2000, widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        kind: type[Slip],
        contest: Contest,
        part: Part | None = None,
        whose_alone: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, reasons=kind.astray_because, **kwargs)
        self._whose = str(kind.say_whose)
        of_team = part is not None and part.scope == Part.Scope.TEAM
        places = kind.places[:1] if whose_alone else kind.places
        left_out = {"team", "number", "class_number", "official", "part"}.difference(places)
        for name in left_out | {"number" if of_team else "team"}:
            del self.fields[name]
        if "official" in self.fields:
            row_field(self, "official").queryset = contest.reasons_officials.all()
        if part is not None and "part" in self.fields:
            row_field(self, "part").queryset = contest.parts.filter(scope=part.scope)
        if of_team:
            teams = Team.objects.filter(division__contest=contest).select_related("division")
            row_field(self, "team").queryset = teams.order_by("division__position", "name")

    @property
    def places(self) -> list[forms.BoundField]:
        """The fields that say where, the first of them whose it is."""
        return [self[name] for name in self.fields if name in ("number", "team", "class_number", "official", "part")]

    def focus(self) -> None:
        self.places[0].field.widget.attrs["autofocus"] = True

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("act") == "move":
            wanted = {self.places[0].name: self._whose, "class_number": gettext("say which class it is of")}
            for name, label in wanted.items():
                if name in self.fields and not cleaned.get(name) and name not in self.errors:
                    self.add_error(name, label)
        return cleaned


class MixupForm(ReasonedForm):
    """Why what looks mixed up is right as it is."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, reasons=MIXUP_BECAUSE, **kwargs)


class AbsentForm(ReasonedForm):
    """What becomes of somebody absent who has cards. `act` is the button: `leave`, or `present`."""

    act = forms.ChoiceField(choices=[("present", "present"), ("leave", "leave")])

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, reasons=ABOUT_ABSENT, **kwargs)


class RunForm(ReasonedForm):
    """Where a run of readings really belongs: a class and group among the `targets`, and from which number to which."""

    first = _number(_("From number"))
    last = _number(_("to number"))
    there = forms.ChoiceField(label=_("These cards are really of"))

    def __init__(self, *args: Any, targets: Sequence[tuple[JudgingClass, str]], **kwargs: Any) -> None:
        super().__init__(*args, reasons=RUN_BECAUSE, **kwargs)
        self.fields["first"].required = self.fields["last"].required = True
        self._targets = targets
        there = choice_field(self, "there")
        labels = [capfirst(CardStack(judged, group=group).label) for judged, group in targets]
        there.choices = [("", gettext("choose")), *enumerate(labels)]
        there.widget.attrs["autofocus"] = True

    def clean_there(self) -> tuple[JudgingClass, str]:
        return self._targets[int(self.cleaned_data["there"])]

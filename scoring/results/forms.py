"""What the superintendent types about results."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from contest.models.helpers import NAME_LENGTH
from contest.models.outline import TEXT_LENGTH
from contest.web.form_fields import choice_field
from scoring.board.awards import ListKey, NamedList
from scoring.board.queue import MOST_PLACES

MINUTES_FOR_PROTESTS = 30
STEP = 5
LONGEST_TEXT = 2000
LONGEST_OVERRIDE = 150
REASON = "reason-"
"""What the names of fields begin with in which a line's reason is typed; the line's key follows."""
LOCAL_TIME = "%Y-%m-%dT%H:%M"
"""A date and time as a browser's own field for it reads and writes them."""


class AcceptForm(forms.Form):
    """What was said to the lines of the checklist, out of those that were `shown`.

    `accepted` holds it by the lines' keys: a reason in words, or "" where a line was ticked.
    """

    shown = forms.CharField(required=False, max_length=100, widget=forms.HiddenInput)
    accept = forms.MultipleChoiceField(required=False)

    def __init__(self, data: QueryDict | None = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        # Whatever was ticked: what it stands for is checked against the checklist itself, which may have changed.
        ticked = data.getlist("accept") if data else []
        choice_field(self, "accept").choices = [(key, key) for key in ticked]
        self.accepted = dict.fromkeys(ticked, "") | {
            name.removeprefix(REASON): " ".join(text.split())[:TEXT_LENGTH]
            for name in data or ()
            if name.startswith(REASON) and data and (text := str(data[name])).strip()
        }


class ReleaseForm(AcceptForm):
    """A release, and whether the awards come first: then `lists` are queued, each with so many places."""

    how = forms.ChoiceField(
        choices=[("ceremony", "ceremony"), ("at_once", "at_once")],
        error_messages={"required": _("Say whether the awards come first.")},
    )
    lists = forms.MultipleChoiceField(label=_("Lists"), required=False, widget=forms.CheckboxSelectMultiple)
    places = forms.IntegerField(label=_("Places"), initial=10, min_value=1, max_value=MOST_PLACES, required=False)

    def __init__(self, data: QueryDict | None = None, *, lists: Sequence[NamedList], queued: bool) -> None:
        usual = ["/".join(named.key) for named in lists if named.key.code == "overall"]
        super().__init__(data, initial={"lists": usual})
        self.fields["how"].required = not queued
        choice_field(self, "lists").choices = [("/".join(named.key), str(named)) for named in lists]

    @property
    def queue(self) -> list[ListKey]:
        """The lists to be queued before the results go out."""
        chosen = self.cleaned_data["lists"] if self.cleaned_data["how"] == "ceremony" else []
        return [ListKey(*text.split("/")) for text in chosen]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("how") == "ceremony" and "lists" not in self.errors and not cleaned.get("lists"):
            self.add_error("lists", gettext("Tick the lists to be read, or release without a ceremony."))
        if cleaned.get("how") == "ceremony" and "places" not in self.errors and not cleaned.get("places"):
            self.add_error("places", gettext("Say how many places are read."))
        return cleaned


class CorrectForm(AcceptForm):
    """Why the results change; `differences` stands for what was seen of it."""

    differences = forms.CharField(max_length=100, widget=forms.HiddenInput)
    reason = forms.CharField(
        label=_("Why the results change"),
        max_length=TEXT_LENGTH,
        error_messages={"required": _("Say why the results change; everybody will read it.")},
    )


class WithdrawForm(forms.Form):
    reason = forms.CharField(
        label=_("Why they are withdrawn"),
        max_length=TEXT_LENGTH,
        error_messages={"required": _("Say why the results are withdrawn; the trail keeps it.")},
    )


class WindowForm(forms.Form):
    deadline = forms.DateTimeField(
        label=_("Until"),
        input_formats=[LOCAL_TIME, "%Y-%m-%d %H:%M"],
        error_messages={
            "required": _("Say until when."),
            "invalid": _("Type a date and a time, such as 2026-10-17 16:30."),
        },
    )
    note = forms.CharField(label=_("What everybody reads about it"), required=False, max_length=LONGEST_TEXT)


class ProtestForm(forms.Form):
    by = forms.CharField(
        label=_("Whose protest"), max_length=NAME_LENGTH, error_messages={"required": _("Say whose protest it is.")}
    )
    text = forms.CharField(
        label=_("What it is about"),
        max_length=LONGEST_TEXT,
        widget=forms.Textarea,
        error_messages={"required": _("Say what the protest is about.")},
    )


class OutcomeForm(forms.Form):
    outcome = forms.CharField(
        label=_("What was decided"), max_length=LONGEST_TEXT, error_messages={"required": _("Say what was decided.")}
    )


class ShowKeyForm(forms.Form):
    override = forms.CharField(label=_("Why it is shown all the same"), required=False, max_length=LONGEST_OVERRIDE)


def first_deadline() -> str:
    """Half an hour from now, at a full five minutes, as a field for it has it.

    Where the clocks are put back then, it is the first such time that they show once: a typed one must be plain.
    """
    until = timezone.now() + timedelta(minutes=MINUTES_FOR_PROTESTS)
    until += timedelta(minutes=-timezone.localtime(until).minute % STEP)
    while _is_shown_twice(timezone.localtime(until)):
        until += timedelta(hours=1)
    return timezone.localtime(until).strftime(LOCAL_TIME)


def _is_shown_twice(moment: datetime) -> bool:
    return moment.replace(fold=not moment.fold).utcoffset() != moment.utcoffset()

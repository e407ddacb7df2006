"""What is typed about cards that are read by scanner."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from contest.models import ScanRules
from contest.scanning.arriving import MOST_BYTES, Declared
from contest.scanning.arriving import MOST_FILES as MOST_FILES_SENT
from contest.scanning.taking import LARGEST_NUMBER
from contest.scanning.working import Typed
from contest.web.json_text import parsed
from contest.web.middleware import MEGABYTE, MOST_UPLOADED
from scoring.core.questions import MOST_QUESTIONS

MOST_FILES = 100
MOST_DAYS = 3650
MOST_TYPED = 4 * MOST_QUESTIONS
"""Characters of a row of answers, each with its question and a space."""


class PagesForm(forms.Form):
    """Pages to be read: one file of many, or many pictures of one."""

    too_large = _("That is more than {most} MB at once. Bring the pages in several files.")

    def clean(self) -> None:
        files = self.files.getlist("pages") if self.files else []
        if not files:
            raise forms.ValidationError(_("Choose the pages first: a PDF, or pictures."))
        if sum(file.size or 0 for file in files) > MOST_UPLOADED:
            raise forms.ValidationError(str(self.too_large).format(most=MOST_UPLOADED // MEGABYTE))
        self.cleaned_data["pages"] = files


class SendForm(forms.Form):
    """Files that are to come in pieces: a JSON list of their names, sizes in bytes and times in milliseconds."""

    told = forms.CharField(max_length=MOST_FILES_SENT * 400)

    def clean_told(self) -> list[Declared]:
        try:
            told = [Declared(*file) for file in parsed(self.cleaned_data["told"])]
        except (ValueError, TypeError) as problem:
            raise forms.ValidationError(str(problem)) from None
        whole = all(isinstance(number, int) and number >= 0 for file in told for number in file[1:])
        if not whole or not all(isinstance(file.name, str) for file in told):
            raise forms.ValidationError("names and whole numbers")
        return told


class PieceForm(forms.Form):
    """Which piece comes: of which file, and from which byte on."""

    file = forms.IntegerField(min_value=0, max_value=MOST_FILES_SENT)
    at = forms.IntegerField(min_value=0, max_value=MOST_BYTES)


def _number(label: Any) -> forms.IntegerField:
    widget = forms.TextInput({"inputmode": "numeric", "autocomplete": "off", "class": "short"})
    return forms.IntegerField(label=label, required=False, min_value=1, max_value=LARGEST_NUMBER, widget=widget)


class CardForm(forms.Form):
    """One card that waits; its number and class only where they are not known, or wrong."""

    placing = forms.CharField(
        label=_("Placing"),
        required=False,
        max_length=MOST_TYPED,
        widget=forms.TextInput(
            {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false", "class": "short"}
        ),
    )
    class_number = _number(_("Class"))
    number = _number(_("Contestant"))

    def typed(self) -> Typed:
        values = self.cleaned_data
        return Typed(values["placing"], values["number"], values["class_number"])


def _whole(label: Any, least: int, most: int, help_text: Any) -> forms.IntegerField:
    widget = forms.TextInput({"inputmode": "numeric", "autocomplete": "off", "class": "short"})
    return forms.IntegerField(label=label, min_value=least, max_value=most, help_text=help_text, widget=widget)


class RulesForm(forms.Form):
    """How a contest reads cards by scanner."""

    on = forms.BooleanField(label=_("Read cards by scanner"), required=False)
    most_wrong = _whole(
        _("Wrong cards of a thousand that may go unnoticed"),
        1,
        200,
        _("Where the scanner reads alone: the fewer, the more cards are read by a person too."),
    )
    confidence = _whole(
        _("How sure the sample is, in percent"),
        50,
        99,
        _("So often a sample of this size shows it when more are wrong."),
    )
    keep_days = _whole(
        _("Days after the release until pictures are deleted"), 0, MOST_DAYS, _("0: they go with the contest.")
    )
    on_packets = forms.BooleanField(
        label=_("Families see the picture of their own card on the page behind their link"), required=False
    )

    @staticmethod
    def initial_of(rules: ScanRules) -> dict[str, Any]:
        return {name: getattr(rules, name) for name in RulesForm.base_fields}

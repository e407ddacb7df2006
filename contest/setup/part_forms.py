"""The form of a part, and each kind of row with its form."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from contest.book.outline import LARGEST_POINTS
from contest.book.text import hundredths
from contest.models import Contest
from contest.models.outline import WORTH_LENGTH
from contest.setup.fields import CodeField, NumberField, TextField, one_of
from contest.setup.forms import CategoryForm, ClassForm, DivisionForm, RowForm, SetForm
from contest.setup.values import Values
from scoring.core.points import written_hundredths
from scoring.core.questions import MOST_QUESTIONS
from scoring.core.record import MOST_TO_KEEP_FROM


class PartForm(RowForm):
    name = TextField(_("Name"), help_text=_("Such as Questions."))
    code = CodeField("QUEST")
    category = forms.ChoiceField(label=_("Category"), required=False)
    divisions = forms.MultipleChoiceField(label=_("Done by"), required=False, widget=forms.CheckboxSelectMultiple)
    most = NumberField(_("The most points it can give"), 1, LARGEST_POINTS)
    scope = one_of(_("Points are given to"), [("individual", _("each contestant")), ("team", _("each team"))])
    animals = TextField(
        _("Labels of its animals"), required=False, help_text=_("4 to 12 digits or letters, such as 12345678.")
    )
    keep = NumberField(_("How many of them are kept"), 0, MOST_TO_KEEP_FROM, _("Such as 4."))
    questions = NumberField(_("How many questions"), 0, MOST_QUESTIONS, _("Such as 25."))
    options = TextField(
        _("Letters of the answers"), required=False, help_text=_("Such as ABCD, or TF for true and false.")
    )
    worth = TextField(
        _("Points for each question"),
        required=False,
        max_length=WORTH_LENGTH,
        help_text=_("Such as 2 for all alike; or one figure for each, in their order, such as 1 1 2 2 4."),
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in ("most", "scope", "keep", "questions"):
            self.fields[name].required = False
        unsaid = ("most", "keep", "questions")
        self.initial = {name: value for name, value in self.initial.items() if value or name not in unsaid}

    @staticmethod
    def first_values(contest: Contest) -> Values:
        codes = list(contest.divisions.values_list("code", flat=True))
        return {"divisions": codes, "most": 50, "scope": "individual"}

    def clean_animals(self) -> str:
        return "".join(self.cleaned_data["animals"].replace(",", " ").split()).upper()

    def clean_options(self) -> str:
        return "".join(self.cleaned_data["options"].replace(",", " ").split()).upper()

    def clean_worth(self) -> str:
        """As files write points."""
        figures = self.cleaned_data["worth"].replace(";", " ").split()
        points = [hundredths(figure, decimal_comma=True) for figure in figures]
        if wrong := [said for said in points if isinstance(said, str)]:
            raise forms.ValidationError(wrong[0])
        return " ".join(written_hundredths(figure) for figure in points if isinstance(figure, int))

    def clean(self) -> dict[str, Any]:
        """A part is scored by points, is keep/cull or has questions, and what the others ask for is left alone."""
        cleaned: dict[str, Any] = super().clean() or {}
        own: dict[str, Any] = {"scope": "individual", "most": 0}
        no_questions: dict[str, Any] = {"questions": 0, "options": "", "worth": ""}
        if cleaned.get("animals"):
            asked, unasked = ["keep"], own | ({} if cleaned.get("questions") else no_questions)
        elif cleaned.get("questions"):
            asked, unasked = ["options", "worth"], own | {"keep": 0}
        else:
            asked, unasked = ["most", "scope"], {"keep": 0} | no_questions
        for name in asked:
            if not cleaned.get(name) and name not in self.errors:
                self.add_error(name, self.fields[name].error_messages["required"])
        for name in unasked.keys() & self.errors.keys():
            del self.errors[name]
        return cleaned | unasked


ROW_FORMS: dict[str, type[RowForm]] = {
    "divisions": DivisionForm,
    "categories": CategoryForm,
    "classes": ClassForm,
    "parts": PartForm,
    "sets": SetForm,
}
"""By the name of the kind (`contest.setup.kinds`)."""

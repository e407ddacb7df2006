"""What is written without a template is what Django's own template says, to the byte."""

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.utils.safestring import mark_safe

from contest.web.form_rendering import FOLDER, WRITTEN, QuickWidgets

ODD = "<b>&\"'"
CHOICES = [("", "none"), (ODD, ODD), (3, mark_safe("<b>3</b>")), (ODD, [("in", "inner & more"), (4, 4)])]
ATTRS = {"id": ODD, "autofocus": True, "disabled": False, "maxlength": 40}
WIDGETS = [
    forms.TextInput(ATTRS),
    forms.HiddenInput(ATTRS),
    forms.NumberInput(ATTRS),
    forms.TimeInput(ATTRS),
    forms.CheckboxInput(ATTRS),
    forms.Select(ATTRS, choices=CHOICES),
    forms.Textarea(ATTRS),  # left to Django
]


def by_both(widget, value):
    return (widget.render(ODD, value, renderer=renderer) for renderer in (QuickWidgets(), DjangoTemplates()))


@pytest.mark.parametrize("widget", WIDGETS, ids=lambda widget: type(widget).__name__)
@pytest.mark.parametrize("value", [None, "", 3, ODD, "in", 4.5])
def test_a_widget_is_what_django_makes_of_it(widget, value):
    ours, theirs = by_both(widget, value)
    assert ours == theirs


@pytest.mark.parametrize("kind", [forms.CheckboxSelectMultiple, forms.RadioSelect])
@pytest.mark.parametrize("wrapped", [True, False])
@pytest.mark.parametrize("attrs", [ATTRS, {"id": ""}])
def test_a_tick_is_what_django_makes_of_it(kind, wrapped, attrs):
    ours, theirs = (
        [tick.tag(wrapped) for tick in ticks_of(kind(attrs, choices=CHOICES[:3]), renderer)]
        for renderer in (QuickWidgets(), DjangoTemplates())
    )
    assert ours == theirs
    assert len(ours) == 3


def ticks_of(widget, renderer):
    class Ticked(forms.Form):
        ticks = forms.ChoiceField(choices=widget.choices, widget=widget)

    return Ticked(renderer=renderer)["ticks"]


def test_no_errors_are_nothing_and_errors_are_djangos():
    for errors in ([], [ODD]):
        ours, theirs = (str(forms.utils.ErrorList(errors, renderer=one())) for one in (QuickWidgets, DjangoTemplates))
        assert ours == theirs
        assert bool(ours) == bool(errors)


def test_each_of_them_is_compared():
    compared = {widget.template_name for widget in WIDGETS}
    compared |= {forms.CheckboxSelectMultiple.option_template_name, forms.RadioSelect.option_template_name}
    assert {FOLDER + name for name in WRITTEN} < compared
    assert type(forms.Form().renderer) is QuickWidgets

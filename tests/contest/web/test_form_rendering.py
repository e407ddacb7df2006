"""What is written without a template is what Django's own template says."""

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.test.html import parse_html

from contest.web.form_rendering import FOLDER, WRITTEN, QuickWidgets

ODD = "<b>&\"'"
CHOICES = [("", "none"), (ODD, ODD), (3, "three"), (ODD, [("in", "inner & more"), (4, 4)])]
ATTRS = {"id": ODD, "autofocus": True, "disabled": False, "maxlength": 40}
WIDGETS = [
    forms.TextInput(ATTRS),
    forms.HiddenInput(ATTRS),
    forms.NumberInput(ATTRS),
    forms.Select(ATTRS, choices=CHOICES),
    forms.CheckboxInput(ATTRS),  # left to Django
]


@pytest.mark.parametrize("widget", WIDGETS, ids=lambda widget: type(widget).__name__)
@pytest.mark.parametrize("value", [None, "", 3, ODD, "in", 4.5])
def test_a_widget_is_what_django_makes_of_it(widget, value):
    ours, theirs = (widget.render(ODD, value, renderer=renderer) for renderer in (QuickWidgets(), DjangoTemplates()))
    assert parse_html(ours) == parse_html(theirs)


def test_each_of_them_is_compared():
    assert {FOLDER + name for name in WRITTEN} < {widget.template_name for widget in WIDGETS}
    assert forms.Form({}).renderer.__class__ is QuickWidgets

"""The fields of a form by what they are, where a form fills in what they offer."""

from __future__ import annotations

from typing import Any

from django.forms import BaseForm, ChoiceField, ModelChoiceField


def choice_field(form: BaseForm, name: str) -> ChoiceField:
    field = form.fields[name]
    assert isinstance(field, ChoiceField)
    return field


def row_field(form: BaseForm, name: str) -> ModelChoiceField[Any]:
    field = form.fields[name]
    assert isinstance(field, ModelChoiceField)
    return field

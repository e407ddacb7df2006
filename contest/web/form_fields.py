"""The fields of a form by what they are, where a form fills in what they offer."""

from __future__ import annotations

from typing import Any

from django.forms import BaseForm, ChoiceField, ModelChoiceField

from contest.models import Team


class TeamField(ModelChoiceField):  # type: ignore[type-arg]  # it takes none when it runs
    """Two divisions may have a team of the same name."""

    def label_from_instance(self, team: Team) -> str:
        return f"{team}, {team.division}"


def choice_field(form: BaseForm, name: str) -> ChoiceField:
    field = form.fields[name]
    assert isinstance(field, ChoiceField)
    return field


def row_field(form: BaseForm, name: str) -> ModelChoiceField[Any]:
    field = form.fields[name]
    assert isinstance(field, ModelChoiceField)
    return field

"""What is remembered of a form that was sent."""

from uuid import uuid4

import pytest
from django import forms
from django.test import RequestFactory

from contest.helpers import forms as helpers_forms
from contest.web.submissions import SECRETS, content_of


@pytest.mark.parametrize("form", [one for one in vars(helpers_forms).values() if isinstance(one, type)])
def test_every_field_of_a_password_is_known_as_one(form):
    for name, field in getattr(form, "base_fields", {}).items():
        assert isinstance(field.widget, forms.PasswordInput) == (name in SECRETS)


def test_nothing_of_a_password_is_remembered():
    typed = {"submission": str(uuid4()), "name": "Wren", "now": "the old one", "new": "the new one"}
    assert content_of(RequestFactory().post("/a-form/", typed)) == ["/a-form/", "", [("name", ["Wren"])], []]

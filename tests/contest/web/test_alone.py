"""What one process alone could do is refused by several, in words, and nothing else is."""

import pytest
from django.http import HttpResponse
from django.test import RequestFactory
from django.urls import get_resolver, resolve

from contest.web.alone import ONLY_ALONE, OnlyAlone

pytestmark = pytest.mark.any_database


def answered(method, path):
    request = RequestFactory().generic(method, path)
    request.resolver_match = resolve(path)
    return OnlyAlone(lambda _request: HttpResponse()).process_view(request, None, (), {})


def test_every_name_is_one_of_an_address():
    names = {name for name in get_resolver().reverse_dict if isinstance(name, str)}
    assert set(ONLY_ALONE) <= names


def test_pages_and_all_other_forms_are_let_through():
    assert answered("GET", "/contests/1/reasons/plan/") is None
    assert answered("POST", "/contests/1/entries/load/") is None
    assert answered("POST", "/contests/1/prints/") is None

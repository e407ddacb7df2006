"""Sentences of the trail: each code once, and said with what stands in it."""

import pkgutil
import string
from importlib import import_module

import pytest

from contest.trail import sentence, sentences
from contest.trail.sentences import SENTENCES, as_json, say

AREAS = [import_module(f"contest.trail.sentences.{found.name}") for found in pkgutil.iter_modules(sentences.__path__)]


def test_no_code_stands_in_two_tables():
    assert sum(len(area.SENTENCES) for area in AREAS) == len(SENTENCES)


def test_both_forms_of_a_sentence_take_the_same_values():
    for code, text in SENTENCES.items():
        forms = [text] if isinstance(text, str) else text
        names = [{name for _, name, _, _ in string.Formatter().parse(form) if name is not None} for form in forms]
        assert all(name.isidentifier() for name in names[0]), code
        assert isinstance(text, str) or names[0] | {"count"} == names[1] | {"count"}, code


def test_a_sentence_within_another_is_kept_by_its_code():
    said = sentence("taken_back", entry=sentence("key_confirmed", key_of=3))
    assert as_json(said) == {
        "code": "taken_back",
        "values": {"entry": {"code": "key_confirmed", "values": {"key_of": 3}}},
    }
    assert str(said) == say(said.code, said.plain()) == "taken back: key of class 3 confirmed"
    assert list(said.subjects()) == ["key:3", "class:3"]


def test_a_code_that_is_in_no_table_is_refused_but_can_still_be_read():
    with pytest.raises(KeyError):
        sentence("no_such_code")
    assert say("no_such_code", {}) == "no_such_code"

"""Papers of a committee: a form for each official, and what they handed in side by side."""

from dataclasses import replace

from scoring.core.record import PanelKey
from tests.scoring.prints.papers import demo, pdf


def material():
    keys = (("Mary Doe", "3124", (3, 5, 2)), ("Joe", "3142", (4, 2, 3)), ("Lou", "1324", (1, 6, 2)))
    panel = tuple(PanelKey(1, *key) for key in keys)
    shown = demo()
    return replace(
        shown,
        record=replace(shown.record, panel=panel),
        committees={1: ("Mary Doe", "Joe", "Lou")},
        agreed_by={1: ("Mary Doe", "Lou")},
    )


def test_each_official_of_a_committee_has_a_form_and_so_has_what_they_agree_on():
    before = pdf(demo(), "key-forms").text.count("Class 1:")
    text = pdf(material(), "key-forms").text
    assert text.count("Class 1:") == before + 3
    assert text.count("Place it alone") == 3
    assert text.count("whoever agrees signs") == 1
    assert "Mary Doe" in text


def test_what_they_handed_in_stands_side_by_side_with_who_agreed_on_the_key():
    text = pdf(material(), "committees").text
    for said in ("3–1–4–2", "4, 2, 3", "agreed by Mary Doe, Lou", "Reasonable agreement", "the proposal", "−3"):
        assert said in text
    assert "No two officials of a committee" in pdf(demo(), "committees").text

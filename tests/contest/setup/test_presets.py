"""Presets of rules: each makes a sound contest, says where it was read, and calls itself nobody's official rules."""

from dataclasses import replace
from uuid import uuid4

import pytest
from django.urls import reverse

from contest.book import read_book, write_book
from contest.models import Contest
from contest.records import load_record
from contest.setup.contests import create_from_preset
from contest.setup.presets import PRESETS
from tests.pages import body, on_one_line
from tests.trails import last_of

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


@pytest.mark.parametrize("code", PRESETS)
def test_it_makes_a_contest_that_goes_through_a_book_and_back(code, tmp_path):
    preset = PRESETS[code]
    contest = create_from_preset(preset, "Fall contest", None, "Harrow Creek", "Sue")
    record = load_record(contest.pk)[1]
    outline = preset.outline()
    assert record == replace(outline, rules=replace(outline.rules, name="Fall contest", place="Harrow Creek"))
    write_book(record, tmp_path)
    assert read_book(tmp_path) == record
    assert dict(contest.classes.exclude(minutes=None).values_list("number", "minutes")) == preset.minutes


@pytest.mark.parametrize("code", PRESETS)
def test_its_page_shows_what_it_sets_and_where_that_was_read(superintendent, code):
    page = on_one_line(body(superintendent.get(reverse("new_from_preset", args=[code]))))
    preset = PRESETS[code]
    record = preset.outline()
    for row in (*record.divisions, *record.classes, *record.parts):
        assert row.name in page
    assert "nobody’s official rules" in page
    assert "Common practice, no source." in page
    for said in preset.said:
        if said.source:
            assert said.source.name in page


def test_a_contest_is_made_of_it_and_can_be_set_up_further(superintendent):
    assert reverse("new_from_preset", args=["horse"]) in body(superintendent.get(reverse("new_contest")))
    at = reverse("new_from_preset", args=["livestock"])
    nameless = {"name": "", "submission": str(uuid4())}
    assert "This field is required" in body(superintendent.post(at, nameless), 422)
    values = {"name": "County day", "held_on": "2026-10-17", "place": "", "submission": str(uuid4())}
    first, again = (superintendent.post(at, values).headers["Location"] for _ in range(2))
    assert first == again
    contest = Contest.objects.get()
    assert last_of(contest).what == "outline made from the preset Livestock"
    page = body(superintendent.get(first))
    assert "Keep or cull, eight ewes" in page
    assert superintendent.get(reverse("new_from_preset", args=["llamas"])).status_code == 404

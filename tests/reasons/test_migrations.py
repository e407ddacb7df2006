"""What earlier versions kept is still there after the database was brought up to date."""

import json
from datetime import timedelta

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from contest.models import one_contest
from contest.row_changes import triggers

BEFORE = [("contest", "0004_results_prints_and_rooms"), ("reasons", "0002_results_prints_and_rooms")]
AFTER = ("reasons", "0003_entries_and_notes_of_officials")


@pytest.fixture
def earlier(transactional_db):
    """The models as they were; afterwards the newest again."""
    newest = MigrationExecutor(connection).loader.graph.leaf_nodes()
    for made in (triggers, one_contest):
        made.drop_triggers("default")  # as `migrate` does by itself
    executor = MigrationExecutor(connection)
    executor.migrate(BEFORE)
    yield executor.loader.project_state(BEFORE).apps
    MigrationExecutor(connection).migrate(newest)
    for made in (triggers, one_contest):
        made.make_triggers("default", plan=[])


def test_the_rule_and_what_officials_wrote_move_to_their_own_places(earlier):
    model = earlier.get_model
    contest = model("contest", "Contest").objects.create(name="Harrow Creek")
    plain = model("contest", "Contest").objects.create(name="Little Elms")
    for one, standardised in ((contest, True), (plain, False)):
        model("reasons", "ReasonsDay").objects.create(contest=one, starts_at="09:00", standardised=standardised)
    division = model("contest", "Division").objects.create(
        contest=contest, position=0, code="SR", name="Senior", team_counting=3
    )
    person = model("contest", "Contestant").objects.create(contest=contest, number=101, division=division)
    judged = model("contest", "JudgingClass").objects.create(contest=contest, position=0, number=3, name="Ewes")
    official = model("reasons", "ReasonsOfficial").objects.create(contest=contest, name="Ms. Ash")
    room = model("reasons", "Room").objects.create(contest=contest, name="1")
    written = {str(official.pk): {"note": "Wéak terms", "marks": {"terms": 12}}, "0": {"note": "gone", "marks": {}}}
    now = timezone.now()
    model("reasons", "Slot").objects.create(
        room=room,
        judging_class=judged,
        contestant=person,
        starts_at=now,
        ends_at=now + timedelta(minutes=2),
        note=json.dumps(written),
    )
    executor = MigrationExecutor(connection)
    executor.migrate([AFTER])
    later = executor.loader.project_state([AFTER]).apps.get_model
    rules = dict(later("contest", "Contest").objects.values_list("name", "reasons_standardised"))
    assert rules == {"Harrow Creek": True, "Little Elms": False}
    (note,) = later("reasons", "SetNote").objects.all()
    about = (note.contestant_id, note.judging_class_id, note.official_id, note.by)
    assert about == (person.pk, judged.pk, official.pk, "Ms. Ash")
    assert (note.note, note.marks) == ("Wéak terms", {"terms": 12})

"""What a new version does to the tables is borne by the version before, which serves beside it for a while."""

import pytest
from django.db import migrations, models
from django.db.migrations.loader import MigrationLoader

from contest.serving.borne import is_borne, not_borne

SINCE = {"contest": 34, "reasons": 4, "scoring": 14}
"""Older ones were made for processes that are all stopped first."""
ALL_ARE_STOPPED = {
    ("scoring", "0015_files_in_a_store"): "printed files move out of the database",
    ("reasons", "0006_searches_in_line"): "its table is no older than that move, so no version before had it",
}
"""Newer ones that are not borne: beside the version before, this one is refused in words. Say why it could not be done
one version later."""


def test_each_is_borne_or_known_to_need_that_all_are_stopped():
    loader = MigrationLoader(None)
    new = [key for key in loader.disk_migrations if key[0] in SINCE and int(key[1][:4]) > SINCE[key[0]]]
    assert {key for key in new if not_borne(loader.disk_migrations[key])} == set(ALL_ARE_STOPPED)


@pytest.mark.parametrize(
    ("operation", "borne"),
    [
        (migrations.CreateModel("new", []), True),
        (migrations.AddField("card", "new", models.TextField(null=True)), True),
        (migrations.AddField("card", "new", models.TextField(default="", db_default="")), True),
        (migrations.AddField("card", "new", models.TextField(default="")), False),
        (migrations.RemoveField("card", "old"), False),
        (migrations.RenameField("card", "old", "new"), False),
        (migrations.DeleteModel("old"), False),
        (migrations.AddConstraint("card", models.UniqueConstraint(fields=["old"], name="new")), False),
    ],
)
def test_a_column_that_the_database_does_not_fill_or_that_goes_is_not_borne(operation, borne):
    assert is_borne(operation) is borne

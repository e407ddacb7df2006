"""Classes of three to eight animals with any labels: their cuts in one column, one fewer than animals."""

from django.db import migrations, models
from django.db.models import CharField, F, Q, Value
from django.db.models.functions import Cast, Concat

import contest.models.animals

CUTS = ("top", "middle", "bottom")


def cuts_in_one(apps, _schema_editor):
    for name in ("Key", "KeyDispute"):
        rows = apps.get_model("contest", name).objects
        parts = [Cast(F(cut), CharField()) for cut in CUTS]
        space = Value(" ")
        rows.update(cuts=Concat(parts[0], space, parts[1], space, parts[2], output_field=CharField()))


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0009_waved_mixups"),
    ]

    operations = [
        migrations.AddField("judgingclass", "animals", models.CharField(default="1234", max_length=8)),
        migrations.RemoveConstraint("key", "key_official_is_a_placing"),
        migrations.RemoveConstraint("keydispute", "key_dispute_official_is_a_placing"),
        migrations.RemoveConstraint("card", "card_placing_possible"),
        migrations.RemoveConstraint("card", "card_second_possible"),
        migrations.RemoveConstraint("reading", "reading_placing_possible"),
        migrations.AddConstraint(
            "card",
            models.CheckConstraint(
                condition=Q(("second__isnull", True), Q(("second", ""), _negated=True), _connector="OR"),
                name="card_second_not_empty",
            ),
        ),
        migrations.AlterField("key", "official", models.CharField(max_length=8)),
        migrations.AlterField("keydispute", "official", models.CharField(max_length=8)),
        migrations.AddField("key", "cuts", contest.models.animals.Cuts(default=(), max_length=60), False),
        migrations.AddField("keydispute", "cuts", contest.models.animals.Cuts(default=(), max_length=60), False),
        migrations.RunPython(cuts_in_one, migrations.RunPython.noop, elidable=True),
        *(migrations.RemoveField(table, cut) for table in ("key", "keydispute") for cut in CUTS),
    ]

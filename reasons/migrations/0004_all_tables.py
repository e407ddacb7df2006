import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    replaces = [("reasons", "0001_tables"), ("reasons", "0002_other_animals"), ("reasons", "0003_quiet_rooms")]

    initial = True

    dependencies = [
        ("contest", "0018_all_tables"),
    ]

    operations = [
        migrations.CreateModel(
            name="Room",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=200)),
                ("shows_key", models.BooleanField(default=False)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="rooms", to="contest.contest"
                    ),
                ),
                ("is_quiet", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "name"), name="room_name_unique"),
                    models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="room_named"),
                ],
            },
        ),
        migrations.CreateModel(
            name="SetNote",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("by", models.CharField(max_length=60)),
                ("note", models.TextField(blank=True)),
                ("marks", models.JSONField(blank=True, default=dict)),
                (
                    "contestant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="set_notes", to="contest.contestant"
                    ),
                ),
                (
                    "judging_class",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="set_notes", to="contest.judgingclass"
                    ),
                ),
                (
                    "official",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="set_notes",
                        to="contest.reasonsofficial",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("judging_class", "contestant", "official", "by"), name="set_note_unique"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="PairNote",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("pair", models.PositiveSmallIntegerField()),
                ("decided_by", models.TextField(blank=True)),
                ("grants", models.TextField(blank=True)),
                ("faults", models.TextField(blank=True)),
                ("by", models.CharField(max_length=200)),
                ("at", models.DateTimeField(auto_now=True)),
                (
                    "judging_class",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="pair_notes",
                        to="contest.judgingclass",
                    ),
                ),
            ],
            options={
                "ordering": ["pair"],
                "constraints": [
                    models.UniqueConstraint(fields=("judging_class", "pair"), name="pair_note_unique"),
                    models.CheckConstraint(
                        condition=models.Q(("pair__gte", 1), ("pair__lt", 8)), name="pair_note_pair"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ReasonsDay",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("starts_at", models.TimeField()),
                ("minutes_per_set", models.PositiveSmallIntegerField(default=2)),
                ("minutes_to_prepare", models.PositiveSmallIntegerField(default=20)),
                ("minutes_between_sets", models.PositiveSmallIntegerField(default=10)),
                ("breaks", models.JSONField(blank=True, default=list)),
                ("components", models.JSONField(blank=True, default=list)),
                ("wishes", models.JSONField(blank=True, default=dict)),
                (
                    "contest",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="reasons_day", to="contest.contest"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("minutes_per_set__gte", 1)), name="reasons_day_minutes_per_set"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Slot",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("starts_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("planned", "planned"),
                            ("speaking", "speaking"),
                            ("heard", "heard"),
                            ("absent", "absent"),
                        ],
                        default="planned",
                        max_length=8,
                    ),
                ),
                ("began_at", models.DateTimeField(blank=True, null=True)),
                ("stopped_at", models.DateTimeField(blank=True, null=True)),
                (
                    "contestant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="slots", to="contest.contestant"
                    ),
                ),
                (
                    "judging_class",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="slots", to="contest.judgingclass"
                    ),
                ),
                (
                    "room",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="slots", to="reasons.room"
                    ),
                ),
            ],
            options={
                "ordering": ["starts_at", "pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("judging_class", "contestant"), name="slot_unique"),
                    models.UniqueConstraint(
                        condition=models.Q(("state", "speaking")), fields=("room",), name="one_speaks_in_a_room"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("ends_at__gt", models.F("starts_at"))), name="slot_ends_after_it_starts"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["planned", "speaking", "heard", "absent"])), name="slot_state"
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="room",
            name="classes",
            field=models.ManyToManyField(blank=True, related_name="rooms", to="contest.judgingclass"),
        ),
        migrations.AddField(
            model_name="room",
            name="officials",
            field=models.ManyToManyField(blank=True, related_name="rooms", to="contest.reasonsofficial"),
        ),
    ]

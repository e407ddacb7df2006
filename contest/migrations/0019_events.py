import django.db.models.deletion
from django.db import migrations, models

DUTIES = [
    ("tabulator", "Tabulator"),
    ("keys", "Keys"),
    ("reasons", "Reasons"),
    ("room", "Reasons room"),
    ("official", "Official"),
    ("committee", "Committee"),
    ("check-in", "Check-in"),
    ("announcer", "Announcer"),
]
KEY = ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"))


class Migration(migrations.Migration):
    """Events become the contest's own, with their rows: helpers and reasons rooms ask for them too."""

    dependencies = [
        ("contest", "0018_all_tables"),
        ("scoring", "0008_all_tables"),
    ]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.CreateModel(
                    name="Event",
                    fields=[
                        KEY,
                        ("name", models.CharField(max_length=200)),
                        ("held_on", models.DateField(blank=True, null=True)),
                        (
                            "by",
                            models.CharField(
                                choices=[("total", "the totals added up"), ("ranks", "points for ranks")],
                                default="total",
                                max_length=5,
                            ),
                        ),
                        ("points", models.CharField(default="10 9 8 7 6 5 4 3 2 1", max_length=200)),
                        ("needs_all", models.BooleanField(default=False)),
                        ("released_at", models.DateTimeField(blank=True, null=True)),
                    ],
                    options={
                        "db_table": "scoring_event",
                        "ordering": ["-pk"],
                        "constraints": [
                            models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="event_named"),
                            models.CheckConstraint(condition=models.Q(("by__in", ["total", "ranks"])), name="event_by"),
                        ],
                    },
                ),
                migrations.CreateModel(
                    name="EventContest",
                    fields=[
                        KEY,
                        ("parts_ties", models.BooleanField(default=False)),
                        (
                            "contest",
                            models.OneToOneField(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="event_place",
                                to="contest.contest",
                            ),
                        ),
                        (
                            "event",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE, related_name="places", to="contest.event"
                            ),
                        ),
                    ],
                    options={
                        "db_table": "scoring_eventcontest",
                        "ordering": ["pk"],
                        "constraints": [
                            models.UniqueConstraint(
                                condition=models.Q(("parts_ties", True)),
                                fields=("event",),
                                name="event_one_contest_parts_ties",
                            )
                        ],
                    },
                ),
            ]
        ),
        migrations.AlterModelTable(name="event", table=None),
        migrations.AlterModelTable(name="eventcontest", table=None),
        migrations.CreateModel(
            name="EventCode",
            fields=[
                KEY,
                ("duty", models.CharField(choices=DUTIES, max_length=9)),
                ("code", models.CharField(max_length=12, unique=True)),
                (
                    "event",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="codes", to="contest.event"
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("event", "duty"), name="event_code_of_duty_unique"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("duty__in", ["tabulator", "keys", "reasons", "official", "check-in", "announcer"])
                        ),
                        name="event_code_duty",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="EventPerson",
            fields=[
                KEY,
                ("together", models.UUIDField()),
                (
                    "contestant",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="event_person",
                        to="contest.contestant",
                    ),
                ),
                (
                    "place",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="people",
                        to="contest.eventcontest",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("place", "together"), name="event_person_once_a_contest")
                ],
            },
        ),
        migrations.AddField(
            model_name="helper",
            name="together",
            field=models.UUIDField(blank=True, editable=False, null=True),
        ),
        migrations.AddConstraint(
            model_name="helper",
            constraint=models.UniqueConstraint(
                condition=models.Q(("left_at__isnull", True)),
                fields=("together", "contest"),
                name="helper_once_a_contest",
            ),
        ),
        migrations.AddConstraint(
            model_name="helper",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("together__isnull", True),
                    models.Q(("duty__in", ("room", "committee")), _negated=True),
                    _connector="OR",
                ),
                name="helper_together_no_official",
            ),
        ),
    ]

import django.db.models.deletion
from django.db import migrations, models

TABLES = ("reasonsofficial", "reasonsreading", "reasonsscore")


class Migration(migrations.Migration):
    """The tables were those of `reasons`, and are renamed."""

    dependencies = [
        ("contest", "0013_bin"),
        ("reasons", "0006_doubts_found_by_index"),
    ]

    operations = [
        migrations.SeparateDatabaseAndState(
            database_operations=[
                migrations.RunSQL(
                    f"ALTER TABLE reasons_{table} RENAME TO contest_{table}",
                    f"ALTER TABLE contest_{table} RENAME TO reasons_{table}",
                )
                for table in TABLES
            ],
            state_operations=[
                migrations.CreateModel(
                    name="ReasonsOfficial",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("name", models.CharField(max_length=200)),
                        (
                            "contest",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE,
                                related_name="reasons_officials",
                                to="contest.contest",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["name"],
                    },
                ),
                migrations.CreateModel(
                    name="ReasonsReading",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("submission", models.UUIDField(unique=True)),
                        ("by", models.CharField(max_length=60)),
                        ("at", models.DateTimeField(auto_now_add=True)),
                        ("decides", models.BooleanField(default=False)),
                        ("reason", models.CharField(blank=True, max_length=200)),
                        ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                        ("withdrawn_by", models.CharField(blank=True, max_length=60)),
                        ("withdrawn_reason", models.CharField(blank=True, max_length=200)),
                        ("hundredths", models.PositiveSmallIntegerField(blank=True, null=True)),
                        ("by_official", models.BooleanField(default=False)),
                        (
                            "contestant",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="reasons_readings",
                                to="contest.contestant",
                            ),
                        ),
                        (
                            "helper",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to="contest.helper",
                            ),
                        ),
                        (
                            "judging_class",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="reasons_readings",
                                to="contest.judgingclass",
                            ),
                        ),
                        (
                            "official",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="readings",
                                to="contest.reasonsofficial",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pk"],
                        "abstract": False,
                    },
                ),
                migrations.CreateModel(
                    name="ReasonsScore",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("hundredths", models.PositiveSmallIntegerField(blank=True, null=True)),
                        ("second", models.PositiveSmallIntegerField(blank=True, null=True)),
                        (
                            "state",
                            models.CharField(
                                choices=[("once", "read once"), ("settled", "settled"), ("doubt", "doubtful")],
                                max_length=7,
                            ),
                        ),
                        (
                            "contestant",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="reasons_scores",
                                to="contest.contestant",
                            ),
                        ),
                        (
                            "judging_class",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="reasons_scores",
                                to="contest.judgingclass",
                            ),
                        ),
                        (
                            "official",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="scores",
                                to="contest.reasonsofficial",
                            ),
                        ),
                    ],
                    options={
                        "ordering": ["pk"],
                    },
                ),
                migrations.AddConstraint(
                    model_name="reasonsofficial",
                    constraint=models.UniqueConstraint(fields=("contest", "name"), name="reasons_official_name_unique"),
                ),
                migrations.AddConstraint(
                    model_name="reasonsofficial",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True), name="reasons_official_named"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="reasonsreading",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("by", ""), _negated=True), name="reasonsreading_by"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="reasonsreading",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            ("decides", False), models.Q(("reason", ""), _negated=True), _connector="OR"
                        ),
                        name="reasonsreading_decides_for_a_reason",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="reasonsreading",
                    constraint=models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by", "")),
                            models.Q(("withdrawn_at__isnull", False), models.Q(("withdrawn_by", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="reasonsreading_withdrawn_by",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="reasonsreading",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("hundredths__lte", 5000)), name="reasons_reading_at_most_50"
                    ),
                ),
                migrations.AddIndex(
                    model_name="reasonsscore",
                    index=models.Index(
                        condition=models.Q(("state", "doubt")), fields=["judging_class"], name="reasons_in_doubt"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="reasonsscore",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("state__in", ["once", "settled", "doubt"])), name="reasons_score_state"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="reasonsscore",
                    constraint=models.UniqueConstraint(
                        fields=("judging_class", "contestant", "official"), name="reasons_score_unique"
                    ),
                ),
                migrations.AddConstraint(
                    model_name="reasonsscore",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("hundredths__lte", 5000)), name="reasons_score_at_most_50"
                    ),
                ),
            ],
        )
    ]

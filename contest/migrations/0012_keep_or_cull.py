import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0011_class_rules"),
    ]

    operations = [
        migrations.CreateModel(
            name="Choice",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("chosen", models.CharField(blank=True, max_length=200)),
                ("second", models.CharField(blank=True, max_length=200, null=True)),
                (
                    "state",
                    models.CharField(
                        choices=[("once", "read once"), ("settled", "settled"), ("doubt", "doubtful")], max_length=7
                    ),
                ),
                (
                    "contestant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="choices", to="contest.contestant"
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="choices", to="contest.part"
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "indexes": [
                    models.Index(condition=models.Q(("state", "doubt")), fields=["part"], name="choice_in_doubt")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["once", "settled", "doubt"])), name="choice_state"
                    ),
                    models.UniqueConstraint(fields=("part", "contestant"), name="choice_unique"),
                ],
            },
        ),
        migrations.CreateModel(
            name="ChoiceReading",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("submission", models.UUIDField(unique=True)),
                ("by", models.CharField(max_length=60)),
                ("at", models.DateTimeField(auto_now_add=True)),
                (
                    "source",
                    models.CharField(
                        choices=[
                            ("paper", "read off paper by a person"),
                            ("official", "entered by the official: nothing was copied, and nothing misread"),
                        ],
                        default="paper",
                        max_length=8,
                    ),
                ),
                ("decides", models.BooleanField(default=False)),
                ("reason", models.CharField(blank=True, max_length=200)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_by", models.CharField(blank=True, max_length=60)),
                ("withdrawn_reason", models.CharField(blank=True, max_length=200)),
                ("chosen", models.CharField(blank=True, max_length=200)),
                (
                    "contestant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="choice_readings",
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
                    "part",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="choice_readings", to="contest.part"
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("by", ""), _negated=True), name="choicereading_by"),
                    models.CheckConstraint(
                        condition=models.Q(("source__in", ["paper", "official"])), name="choicereading_source"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("decides", False), models.Q(("reason", ""), _negated=True), _connector="OR"
                        ),
                        name="choicereading_decides_for_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by", "")),
                            models.Q(("withdrawn_at__isnull", False), models.Q(("withdrawn_by", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="choicereading_withdrawn_by",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PartKey",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("version", models.PositiveSmallIntegerField()),
                ("given", models.CharField(max_length=200)),
                ("by", models.CharField(max_length=200)),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("reason", models.CharField(blank=True, max_length=200)),
                ("confirmed_by", models.CharField(blank=True, max_length=200)),
                ("confirmed_at", models.DateTimeField(blank=True, null=True)),
                ("other", models.CharField(blank=True, max_length=200)),
                ("other_by", models.CharField(blank=True, max_length=200)),
                (
                    "part",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="keys", to="contest.part"
                    ),
                ),
            ],
            options={
                "ordering": ["version"],
                "constraints": [
                    models.UniqueConstraint(fields=("part", "version"), name="part_key_version_unique"),
                    models.CheckConstraint(
                        condition=models.Q(("version__gte", 1), models.Q(("given", ""), _negated=True)),
                        name="part_key_given",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("confirmed_at__isnull", True), ("confirmed_by", "")),
                            models.Q(("confirmed_at__isnull", False), models.Q(("confirmed_by", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="part_key_confirmed_by",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("other", ""), ("other_by", "")),
                            models.Q(
                                ("confirmed_by", ""),
                                models.Q(("other", ""), _negated=True),
                                models.Q(("other_by", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="part_key_other_by",
                    ),
                ],
            },
        ),
        migrations.RemoveConstraint(
            model_name="part",
            name="part_most_positive",
        ),
        migrations.AddField(
            model_name="part",
            name="animals",
            field=models.CharField(blank=True, max_length=12),
        ),
        migrations.AddField(
            model_name="part",
            name="keep",
            field=models.PositiveSmallIntegerField(default=0),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("animals", ""), ("keep", 0), ("most__gte", 1)),
                    models.Q(
                        ("keep__gte", 1), ("most", 0), ("scope", "individual"), models.Q(("animals", ""), _negated=True)
                    ),
                    _connector="OR",
                ),
                name="part_most_or_keep",
            ),
        ),
    ]

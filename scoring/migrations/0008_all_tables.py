import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    replaces = [
        ("scoring", "0001_tables"),
        ("scoring", "0002_accepted_lines"),
        ("scoring", "0003_was_public"),
        ("scoring", "0004_board_choice"),
        ("scoring", "0005_last_prints"),
        ("scoring", "0006_next_level"),
        ("scoring", "0007_event"),
    ]

    initial = True

    dependencies = [
        ("contest", "0018_all_tables"),
    ]

    operations = [
        migrations.CreateModel(
            name="AwardList",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField()),
                ("division", models.CharField(max_length=20)),
                ("code", models.CharField(max_length=20)),
                ("kind", models.CharField(choices=[("individuals", "individuals"), ("teams", "teams")], max_length=11)),
                ("places", models.PositiveSmallIntegerField(default=10)),
                ("revealed", models.PositiveSmallIntegerField(default=0)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="award_lists", to="contest.contest"
                    ),
                ),
            ],
            options={
                "ordering": ["position", "pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "division", "code", "kind"), name="award_list_unique"),
                    models.CheckConstraint(condition=models.Q(("places__gte", 1)), name="award_list_places"),
                ],
            },
        ),
        migrations.CreateModel(
            name="KeyRelease",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("by", models.CharField(max_length=60)),
                (
                    "judging_class",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="key_release",
                        to="contest.judgingclass",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="PrintJob",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("document", models.CharField(max_length=40)),
                ("choice", models.JSONField(default=dict)),
                ("revision", models.PositiveBigIntegerField()),
                ("by", models.CharField(max_length=60)),
                ("at", models.DateTimeField(auto_now_add=True)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "waiting"),
                            ("running", "being made"),
                            ("done", "ready"),
                            ("failed", "failed"),
                            ("cancelled", "cancelled"),
                        ],
                        default="waiting",
                        max_length=9,
                    ),
                ),
                ("done", models.PositiveIntegerField(default=0)),
                ("total", models.PositiveIntegerField(default=0)),
                ("file", models.CharField(blank=True, max_length=200)),
                ("problem", models.TextField(blank=True)),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="print_jobs", to="contest.contest"
                    ),
                ),
            ],
            options={
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["waiting", "running", "done", "failed", "cancelled"])),
                        name="print_job_state",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Protest",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("by", models.CharField(max_length=60)),
                ("text", models.TextField()),
                ("outcome", models.TextField(blank=True)),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="protests", to="contest.contest"
                    ),
                ),
            ],
            options={
                "ordering": ["at"],
            },
        ),
        migrations.CreateModel(
            name="ProtestWindow",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("note", models.TextField(blank=True)),
                ("deadline", models.DateTimeField()),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "contest",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="protest_window", to="contest.contest"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Release",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("version", models.PositiveSmallIntegerField()),
                ("revision", models.PositiveBigIntegerField()),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("by", models.CharField(max_length=60)),
                ("reason", models.CharField(blank=True, max_length=200)),
                ("accepted", models.JSONField(default=list)),
                ("book", models.BinaryField()),
                ("reasons_standardised", models.BooleanField(default=False)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_by", models.CharField(blank=True, max_length=60)),
                ("withdrawn_reason", models.CharField(blank=True, max_length=200)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="releases", to="contest.contest"
                    ),
                ),
            ],
            options={
                "ordering": ["version"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "version"), name="release_version_unique"),
                    models.CheckConstraint(
                        condition=models.Q(("version", 1), models.Q(("reason", ""), _negated=True), _connector="OR"),
                        name="correction_has_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("withdrawn_at__isnull", True),
                            models.Q(
                                models.Q(("withdrawn_by", ""), _negated=True),
                                models.Q(("withdrawn_reason", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="release_withdrawn_for_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Ribbon",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("place", models.PositiveSmallIntegerField()),
                ("name", models.CharField(max_length=60)),
                ("colour", models.CharField(blank=True, max_length=60)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="ribbons", to="contest.contest"
                    ),
                ),
            ],
            options={
                "ordering": ["place"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "place"), name="ribbon_place_unique"),
                    models.CheckConstraint(condition=models.Q(("place__gte", 1)), name="ribbon_place_positive"),
                ],
            },
        ),
        migrations.CreateModel(
            name="TakeHomeLink",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("token", models.CharField(max_length=64, unique=True)),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="take_home_links",
                        to="contest.contest",
                    ),
                ),
                (
                    "contestant",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="contest.contestant",
                    ),
                ),
                (
                    "team",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="contest.team",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("contestant__isnull", False), ("team__isnull", True)),
                            models.Q(("contestant__isnull", True), ("team__isnull", False)),
                            _connector="OR",
                        ),
                        name="take_home_link_of_team_or_contestant",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="BoardChoice",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("shows", models.CharField(blank=True, max_length=80)),
                ("dark", models.BooleanField(default=False)),
                (
                    "contest",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="board_choice", to="contest.contest"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="LastPrints",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("document", models.CharField(max_length=40)),
                ("sheets", models.JSONField(default=dict)),
                (
                    "contest",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="last_prints",
                        to="contest.contest",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "document"), name="last_prints_once_a_document")
                ],
            },
        ),
        migrations.CreateModel(
            name="NextList",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("division", models.CharField(max_length=20)),
                ("code", models.CharField(max_length=20)),
                ("kind", models.CharField(choices=[("individuals", "individuals"), ("teams", "teams")], max_length=11)),
                ("places", models.PositiveSmallIntegerField()),
                ("alternates", models.PositiveSmallIntegerField(default=0)),
                ("besides_teams", models.BooleanField(default=False)),
                (
                    "contest",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="next_lists",
                        to="contest.contest",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "division", "code", "kind"), name="next_list_unique"),
                    models.CheckConstraint(condition=models.Q(("places__gte", 1)), name="next_list_places"),
                ],
            },
        ),
        migrations.CreateModel(
            name="NotComing",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("reason", models.CharField(max_length=200)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="not_coming", to="contest.contest"
                    ),
                ),
                (
                    "contestant",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="not_coming",
                        to="contest.contestant",
                    ),
                ),
                (
                    "team",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="not_coming",
                        to="contest.team",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "not coming",
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("contestant__isnull", False), ("team__isnull", True)),
                            models.Q(("contestant__isnull", True), ("team__isnull", False)),
                            _connector="OR",
                        ),
                        name="not_coming_of_team_or_contestant",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True), name="not_coming_for_a_reason"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Event",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
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
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="event_named"),
                    models.CheckConstraint(condition=models.Q(("by__in", ["total", "ranks"])), name="event_by"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Ceremony",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("step", models.PositiveBigIntegerField(default=0)),
                ("running", models.BooleanField(default=False)),
                (
                    "award_list",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to="scoring.awardlist",
                    ),
                ),
                (
                    "contest",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="ceremony", to="contest.contest"
                    ),
                ),
                ("was_public", models.BooleanField(default=False)),
            ],
            options={
                "verbose_name_plural": "ceremonies",
            },
        ),
        migrations.CreateModel(
            name="EventContest",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("parts_ties", models.BooleanField(default=False)),
                (
                    "contest",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="event_place", to="contest.contest"
                    ),
                ),
                (
                    "event",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="places", to="scoring.event"
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("parts_ties", True)), fields=("event",), name="event_one_contest_parts_ties"
                    )
                ],
            },
        ),
    ]

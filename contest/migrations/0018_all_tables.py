import uuid

import django.db.models.deletion
import django.db.models.functions.text
from django.db import migrations, models

import contest.models.animals


class Migration(migrations.Migration):
    replaces = [
        ("contest", "0001_tables"),
        ("contest", "0002_trail_values"),
        ("contest", "0003_duty_names"),
        ("contest", "0004_addresses"),
        ("contest", "0005_team_sizes"),
        ("contest", "0006_void_divisions"),
        ("contest", "0007_helper_device"),
        ("contest", "0008_tie_decisions"),
        ("contest", "0009_waved_mixups"),
        ("contest", "0010_animals"),
        ("contest", "0011_class_rules"),
        ("contest", "0012_keep_or_cull"),
        ("contest", "0013_committees"),
        ("contest", "0014_came_from"),
        ("contest", "0015_who_is_ranked"),
        ("contest", "0016_late_entries"),
        ("contest", "0017_accommodations"),
    ]

    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Submission",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("digest", models.CharField(max_length=64)),
                ("outcome", models.JSONField(blank=True, null=True)),
                ("at", models.DateTimeField(auto_now_add=True)),
            ],
        ),
        migrations.CreateModel(
            name="TrailDoor",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("contest_key", models.PositiveBigIntegerField(unique=True)),
            ],
        ),
        migrations.CreateModel(
            name="Unrecorded",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
            ],
            options={
                "verbose_name_plural": "unrecorded",
            },
        ),
        migrations.CreateModel(
            name="Contest",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=200)),
                ("held_on", models.DateField(blank=True, null=True)),
                ("place", models.CharField(blank=True, max_length=200)),
                ("readings_per_card", models.PositiveSmallIntegerField(default=2)),
                ("same_reader_twice", models.BooleanField(default=False)),
                ("minutes_per_class", models.PositiveSmallIntegerField(default=12)),
                ("starts_at", models.TimeField(blank=True, null=True)),
                (
                    "show_people_as",
                    models.CharField(
                        choices=[
                            ("number", "contestant numbers"),
                            ("initials", "numbers and initials"),
                            ("name", "numbers and names"),
                        ],
                        default="number",
                        max_length=8,
                    ),
                ),
                (
                    "negative_scores",
                    models.CharField(
                        choices=[("keep", "kept as they are"), ("zero", "counted as 0")], default="keep", max_length=4
                    ),
                ),
                (
                    "unreadable_card",
                    models.CharField(
                        choices=[("zero", "0"), ("lowest", "the lowest score its class can give")],
                        default="zero",
                        max_length=6,
                    ),
                ),
                ("reasons_in_category", models.BooleanField(default=True)),
                ("reasons_standardised", models.BooleanField(default=False)),
                ("revision", models.PositiveBigIntegerField(default=0)),
                ("trail_head", models.CharField(blank=True, max_length=64)),
                ("rows_kept_since", models.PositiveBigIntegerField(default=0)),
                ("loading_at", models.DateTimeField(blank=True, null=True)),
                ("deleted_at", models.DateTimeField(blank=True, null=True)),
                ("deleted_by", models.CharField(blank=True, max_length=60)),
                ("emptied_at", models.DateTimeField(blank=True, null=True)),
                ("hall_address", models.CharField(blank=True, max_length=200)),
                ("public_address", models.CharField(blank=True, max_length=200)),
                ("late_after", models.DateTimeField(blank=True, null=True)),
                (
                    "late_entries",
                    models.CharField(
                        choices=[
                            ("accept", "are accepted and marked as late"),
                            ("note", "are accepted with a note of why"),
                            ("refuse", "are refused"),
                        ],
                        default="accept",
                        max_length=6,
                    ),
                ),
            ],
            options={
                "ordering": [models.OrderBy(models.F("held_on"), descending=True, nulls_last=True), "-pk"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="contest_named"),
                    models.CheckConstraint(
                        condition=models.Q(("readings_per_card__in", [1, 2])), name="contest_readings_per_card"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("show_people_as__in", ["number", "initials", "name"])),
                        name="contest_show_people_as",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("negative_scores__in", ["keep", "zero"])), name="contest_negative_scores"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("unreadable_card__in", ["zero", "lowest"])), name="contest_unreadable_card"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("late_entries__in", ["accept", "note", "refuse"])),
                        name="contest_late_entries",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Identity",
            fields=[
                ("one", models.BooleanField(default=True, primary_key=True, serialize=False)),
                ("uuid", models.UUIDField(default=uuid.uuid4)),
            ],
            options={
                "verbose_name_plural": "identities",
                "constraints": [models.CheckConstraint(condition=models.Q(("one", True)), name="identity_is_one")],
            },
        ),
        migrations.CreateModel(
            name="SiteTrail",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("revision", models.PositiveBigIntegerField(default=0)),
                ("trail_head", models.CharField(blank=True, max_length=64)),
            ],
            options={
                "constraints": [models.CheckConstraint(condition=models.Q(("pk", 1)), name="trail_site_once")],
            },
        ),
        migrations.CreateModel(
            name="Category",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField()),
                ("code", models.CharField(max_length=20)),
                ("name", models.CharField(max_length=200)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="categories", to="contest.contest"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "categories",
                "ordering": ["position", "pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "code"), name="category_code_unique"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("code", ""), _negated=True), models.Q(("name", ""), _negated=True)
                        ),
                        name="category_named",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("code__in", ["overall", "placing", "reasons"]), _negated=True),
                        name="category_code_is_no_list_name",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Division",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField()),
                ("code", models.CharField(max_length=20)),
                ("name", models.CharField(max_length=200)),
                ("team_counting", models.PositiveSmallIntegerField(help_text="0 means that every member counts")),
                (
                    "short_team",
                    models.CharField(
                        choices=[("zero", "missing members score 0"), ("unranked", "the team is not ranked")],
                        default="zero",
                        max_length=8,
                    ),
                ),
                (
                    "counting_members",
                    models.CharField(
                        choices=[
                            ("fixed", "those who count overall count in every list"),
                            ("each", "chosen anew for every list"),
                        ],
                        default="fixed",
                        max_length=5,
                    ),
                ),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="divisions", to="contest.contest"
                    ),
                ),
                ("team_least", models.PositiveSmallIntegerField(default=0)),
                ("team_most", models.PositiveSmallIntegerField(default=0)),
                ("reasons_least", models.PositiveSmallIntegerField(default=0)),
                ("alternates_compete", models.BooleanField(default=True)),
            ],
            options={
                "ordering": ["position", "pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "code"), name="division_code_unique"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("code", ""), _negated=True), models.Q(("name", ""), _negated=True)
                        ),
                        name="division_named",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("short_team__in", ["zero", "unranked"])), name="division_short_team"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("counting_members__in", ["fixed", "each"])),
                        name="division_counting_members",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reasons_least__lte", 50)), name="division_reasons_least"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ReasonsOfficial",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
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
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "name"), name="reasons_official_name_unique"),
                    models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True), name="reasons_official_named"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="RowChange",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("revision", models.PositiveBigIntegerField(null=True)),
                ("of_table", models.CharField(max_length=63)),
                ("row", models.BigIntegerField()),
                (
                    "kind",
                    models.CharField(
                        choices=[("insert", "Insert"), ("update", "Update"), ("delete", "Delete")], max_length=6
                    ),
                ),
                ("salt", models.CharField(blank=True, max_length=32)),
                ("before", models.TextField(null=True)),
                ("digest", models.CharField(blank=True, max_length=64)),
                (
                    "contest",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="row_changes",
                        to="contest.contest",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "indexes": [models.Index(fields=["contest", "revision"], name="row_change_of_revision")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["insert", "update", "delete"])), name="row_change_kind"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("before__isnull", True), ("kind", "insert")),
                            models.Q(models.Q(("kind", "insert"), _negated=True), ("before__isnull", False)),
                            _connector="OR",
                        ),
                        name="row_change_before",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="TrailEntry",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("revision", models.PositiveBigIntegerField()),
                ("at", models.DateTimeField()),
                ("by", models.CharField(max_length=200)),
                ("what", models.CharField(max_length=200)),
                (
                    "touches",
                    models.CharField(
                        choices=[
                            ("everything", "Everything"),
                            ("classes", "Classes"),
                            ("cards", "Cards"),
                            ("nothing", "Nothing"),
                        ],
                        default="everything",
                        max_length=10,
                    ),
                ),
                ("before", models.JSONField(blank=True, null=True)),
                ("after", models.JSONField(blank=True, null=True)),
                ("about", models.TextField(blank=True)),
                ("rows_digest", models.CharField(blank=True, max_length=64)),
                ("hash", models.CharField(max_length=64)),
                (
                    "contest",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="trail",
                        to="contest.contest",
                    ),
                ),
                ("values", models.JSONField(blank=True, default=dict)),
            ],
            options={
                "verbose_name_plural": "trail entries",
                "ordering": ["revision"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "revision"), name="trail_revision_unique"),
                    models.UniqueConstraint(
                        condition=models.Q(("contest", None)), fields=("revision",), name="trail_site_revision_unique"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="TrailName",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("token", models.CharField(max_length=45, unique=True)),
                ("salt", models.CharField(blank=True, max_length=32)),
                ("name", models.CharField(blank=True, max_length=200, null=True)),
                (
                    "contest",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="trail_names",
                        to="contest.contest",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "name"), name="trail_name_unique"),
                    models.UniqueConstraint(
                        condition=models.Q(("contest", None)), fields=("name",), name="trail_site_name_unique"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("name", None), ("salt", "")),
                            models.Q(("name__isnull", False), models.Q(("salt", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="trail_name_salted",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="TieDecision",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("division", models.CharField(max_length=20)),
                ("list", models.CharField(max_length=20)),
                ("kind", models.CharField(choices=[("individuals", "Individuals"), ("teams", "Teams")], max_length=11)),
                ("order", models.JSONField()),
                (
                    "how",
                    models.CharField(choices=[("draw", "by draw"), ("word", "by an official’s word")], max_length=4),
                ),
                ("reason", models.CharField(max_length=200)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="tie_decisions", to="contest.contest"
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["individuals", "teams"])), name="tie_decision_kind"
                    ),
                    models.CheckConstraint(condition=models.Q(("how__in", ["draw", "word"])), name="tie_decision_how"),
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True), name="tie_decision_has_a_reason"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="WavedMixup",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("what", models.CharField(max_length=16)),
                ("by", models.CharField(max_length=60)),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("reason", models.CharField(max_length=200)),
                (
                    "contest",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="waved_mixups",
                        to="contest.contest",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "what"), name="waved_mixup_unique"),
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True), name="waved_mixup_has_a_reason"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CommitteeOfficial",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=200)),
                ("is_chair", models.BooleanField(default=False)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="committee_officials",
                        to="contest.contest",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "name"), name="committee_official_name_unique"),
                    models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True), name="committee_official_named"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="JudgingClass",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField()),
                ("number", models.PositiveIntegerField()),
                ("name", models.CharField(max_length=200)),
                ("places", models.BooleanField(default=True)),
                ("perfect", models.PositiveSmallIntegerField(default=50)),
                ("void", models.BooleanField(default=False)),
                (
                    "category",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="classes",
                        to="contest.category",
                    ),
                ),
                (
                    "contest",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="classes",
                        to="contest.contest",
                    ),
                ),
                ("animals", models.CharField(default="1234", max_length=8)),
                ("full_points", models.BooleanField(default=False)),
                (
                    "handling",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "the class sign says nothing of it"),
                            ("allowed", "allowed: contestants may touch the animals"),
                            ("forbidden", "not allowed: contestants look, and touch nothing"),
                        ],
                        max_length=9,
                    ),
                ),
                ("minutes", models.PositiveSmallIntegerField(blank=True, null=True)),
            ],
            options={
                "verbose_name": "class",
                "verbose_name_plural": "classes",
                "ordering": ["position", "pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "number"), name="class_number_unique"),
                    models.CheckConstraint(condition=models.Q(("number__gte", 1)), name="class_number_positive"),
                    models.CheckConstraint(condition=models.Q(("perfect__gte", 1)), name="class_perfect_positive"),
                    models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="class_named"),
                    models.CheckConstraint(
                        condition=models.Q(("minutes", None), ("minutes__gte", 1), _connector="OR"),
                        name="class_minutes_positive",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("handling__in", ["", "allowed", "forbidden"])), name="class_handling"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Part",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField()),
                ("code", models.CharField(max_length=20)),
                ("name", models.CharField(max_length=200)),
                ("most", models.PositiveSmallIntegerField()),
                (
                    "scope",
                    models.CharField(choices=[("individual", "each contestant"), ("team", "each team")], max_length=10),
                ),
                (
                    "category",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="parts",
                        to="contest.category",
                    ),
                ),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="parts", to="contest.contest"
                    ),
                ),
                ("animals", models.CharField(blank=True, max_length=12)),
                ("keep", models.PositiveSmallIntegerField(default=0)),
            ],
            options={
                "ordering": ["position", "pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "code"), name="part_code_unique"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("code", ""), _negated=True), models.Q(("name", ""), _negated=True)
                        ),
                        name="part_named",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("scope__in", ["individual", "team"])), name="part_scope"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("animals", ""), ("keep", 0), ("most__gte", 1)),
                            models.Q(
                                ("keep__gte", 1),
                                ("most", 0),
                                ("scope", "individual"),
                                models.Q(("animals", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="part_most_or_keep",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Team",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=200)),
                ("say_name", models.CharField(blank=True, max_length=200)),
                (
                    "division",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="teams", to="contest.division"
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.UniqueConstraint(fields=("division", "name"), name="team_name_unique"),
                    models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="team_named"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Helper",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "duty",
                    models.CharField(
                        choices=[
                            ("tabulator", "Tabulator"),
                            ("keys", "Keys"),
                            ("reasons", "Reasons"),
                            ("room", "Reasons room"),
                            ("official", "Official"),
                            ("committee", "Committee"),
                            ("check-in", "Check-in"),
                            ("announcer", "Announcer"),
                        ],
                        max_length=9,
                    ),
                ),
                ("name", models.CharField(max_length=60)),
                ("joined_at", models.DateTimeField(auto_now_add=True)),
                ("seen_at", models.DateTimeField(auto_now_add=True)),
                ("left_at", models.DateTimeField(blank=True, null=True)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="helpers", to="contest.contest"
                    ),
                ),
                (
                    "official",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="tablets",
                        to="contest.reasonsofficial",
                    ),
                ),
                ("device", models.CharField(blank=True, max_length=64)),
                (
                    "committee_official",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="devices",
                        to="contest.committeeofficial",
                    ),
                ),
            ],
            options={
                "ordering": ["joined_at"],
                "constraints": [
                    models.UniqueConstraint(
                        models.F("contest"),
                        django.db.models.functions.text.Lower("name"),
                        condition=models.Q(("left_at__isnull", True)),
                        name="helper_name_unique",
                    ),
                    models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="helper_named"),
                    models.CheckConstraint(
                        condition=models.Q(("duty", "room"), ("official__isnull", True), _connector="OR"),
                        name="helper_of_room_official",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "duty__in",
                                [
                                    "tabulator",
                                    "keys",
                                    "reasons",
                                    "room",
                                    "official",
                                    "committee",
                                    "check-in",
                                    "announcer",
                                ],
                            )
                        ),
                        name="helper_duty",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("duty", "committee"), ("committee_official__isnull", True), _connector="OR"
                        ),
                        name="helper_of_committee_official",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="JoinCode",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "duty",
                    models.CharField(
                        choices=[
                            ("tabulator", "Tabulator"),
                            ("keys", "Keys"),
                            ("reasons", "Reasons"),
                            ("room", "Reasons room"),
                            ("official", "Official"),
                            ("committee", "Committee"),
                            ("check-in", "Check-in"),
                            ("announcer", "Announcer"),
                        ],
                        max_length=9,
                    ),
                ),
                ("code", models.CharField(max_length=12, unique=True)),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="join_codes", to="contest.contest"
                    ),
                ),
                (
                    "official",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="join_code",
                        to="contest.reasonsofficial",
                    ),
                ),
                (
                    "committee_official",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="join_code",
                        to="contest.committeeofficial",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("duty", "room"), ("official__isnull", False)),
                            models.Q(models.Q(("duty", "room"), _negated=True), ("official__isnull", True)),
                            _connector="OR",
                        ),
                        name="join_code_of_room_official",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("committee_official__isnull", True), ("official__isnull", True)),
                        fields=("contest", "duty"),
                        name="join_code_of_duty_unique",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("committee_official__isnull", False), ("duty", "committee")),
                            models.Q(
                                models.Q(("duty", "committee"), _negated=True), ("committee_official__isnull", True)
                            ),
                            _connector="OR",
                        ),
                        name="join_code_of_committee_official",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "duty__in",
                                [
                                    "tabulator",
                                    "keys",
                                    "reasons",
                                    "room",
                                    "official",
                                    "committee",
                                    "check-in",
                                    "announcer",
                                ],
                            )
                        ),
                        name="join_code_duty",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ClassDivision",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("gives_reasons", models.BooleanField(default=False)),
                (
                    "division",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="class_divisions",
                        to="contest.division",
                    ),
                ),
                (
                    "judging_class",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="class_divisions",
                        to="contest.judgingclass",
                    ),
                ),
                ("void", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("judging_class", "division"), name="class_division_unique")
                ],
            },
        ),
        migrations.CreateModel(
            name="Key",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("version", models.PositiveSmallIntegerField()),
                ("official", models.CharField(max_length=8)),
                ("by", models.CharField(max_length=200)),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("reason", models.CharField(blank=True, max_length=200)),
                ("confirmed_by", models.CharField(blank=True, max_length=200)),
                ("confirmed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "judging_class",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="keys", to="contest.judgingclass"
                    ),
                ),
                ("cuts", contest.models.animals.Cuts(max_length=60)),
            ],
            options={
                "ordering": ["version"],
                "constraints": [
                    models.UniqueConstraint(fields=("judging_class", "version"), name="key_version_unique"),
                    models.CheckConstraint(condition=models.Q(("version__gte", 1)), name="key_version_positive"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("confirmed_at__isnull", True), ("confirmed_by", "")),
                            models.Q(("confirmed_at__isnull", False), models.Q(("confirmed_by", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="key_confirmed_by",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CommitteeSeat",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "judging_class",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="seats",
                        to="contest.judgingclass",
                    ),
                ),
                (
                    "official",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="seats",
                        to="contest.committeeofficial",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("judging_class", "official"), name="committee_seat_unique")
                ],
            },
        ),
        migrations.CreateModel(
            name="TieStep",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("scope", models.CharField(choices=[("individual", "Individual"), ("team", "Team")], max_length=10)),
                ("position", models.PositiveSmallIntegerField()),
                ("kind", models.CharField(max_length=20)),
                (
                    "category",
                    models.ForeignKey(
                        blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to="contest.category"
                    ),
                ),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="tie_steps", to="contest.contest"
                    ),
                ),
                (
                    "judging_class",
                    models.ForeignKey(
                        blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to="contest.judgingclass"
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to="contest.part"
                    ),
                ),
            ],
            options={
                "ordering": ["scope", "position", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("scope__in", ["individual", "team"])), name="tie_step_scope"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("kind", "total"),
                                ("category__isnull", True),
                                ("judging_class__isnull", True),
                                ("part__isnull", True),
                            ),
                            models.Q(
                                ("kind", "reasons"),
                                ("category__isnull", True),
                                ("judging_class__isnull", True),
                                ("part__isnull", True),
                            ),
                            models.Q(
                                ("kind", "placing"),
                                ("category__isnull", True),
                                ("judging_class__isnull", True),
                                ("part__isnull", True),
                            ),
                            models.Q(
                                ("kind", "best-class"),
                                ("category__isnull", True),
                                ("judging_class__isnull", True),
                                ("part__isnull", True),
                            ),
                            models.Q(
                                ("kind", "left-out"),
                                ("category__isnull", True),
                                ("judging_class__isnull", True),
                                ("part__isnull", True),
                                ("scope", "team"),
                            ),
                            models.Q(
                                ("kind", "class"),
                                ("category__isnull", True),
                                ("judging_class__isnull", False),
                                ("part__isnull", True),
                            ),
                            models.Q(
                                ("kind", "category"),
                                ("category__isnull", False),
                                ("judging_class__isnull", True),
                                ("part__isnull", True),
                            ),
                            models.Q(
                                ("kind", "part"),
                                ("category__isnull", True),
                                ("judging_class__isnull", True),
                                ("part__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="tie_step_kind",
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
        migrations.CreateModel(
            name="Contestant",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.PositiveIntegerField()),
                ("first_name", models.CharField(blank=True, max_length=200)),
                ("last_name", models.CharField(blank=True, max_length=200)),
                ("say_name", models.CharField(blank=True, max_length=200)),
                ("group", models.CharField(blank=True, max_length=200)),
                ("show_name", models.BooleanField(default=True)),
                ("present", models.BooleanField(default=True)),
                ("checked_in_at", models.DateTimeField(blank=True, null=True)),
                ("ineligible", models.BooleanField(default=False)),
                ("ineligible_reason", models.CharField(blank=True, max_length=200)),
                (
                    "contest",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="contestants",
                        to="contest.contest",
                    ),
                ),
                (
                    "division",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="contestants", to="contest.division"
                    ),
                ),
                (
                    "team",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="members",
                        to="contest.team",
                    ),
                ),
                ("came_from", models.CharField(blank=True, max_length=200)),
                ("alternate", models.BooleanField(default=False)),
                (
                    "unranked",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "ranked like everybody"),
                            ("barred", "may not win an individual award"),
                            ("asked", "asked not to be ranked"),
                        ],
                        max_length=6,
                    ),
                ),
                ("unranked_reason", models.CharField(blank=True, max_length=200)),
                ("late", models.BooleanField(default=False)),
                ("late_note", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "ordering": ["number"],
                "constraints": [
                    models.UniqueConstraint(fields=("contest", "number"), name="contestant_number_unique"),
                    models.CheckConstraint(condition=models.Q(("number__gte", 1)), name="contestant_number_positive"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ineligible", False), models.Q(("ineligible_reason", ""), _negated=True), _connector="OR"
                        ),
                        name="contestant_ineligible_for_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("unranked__in", ["", "barred", "asked"])), name="contestant_unranked"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("unranked", "barred"), _negated=True),
                            models.Q(("unranked_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="contestant_barred_for_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("alternate", False), ("team__isnull", False), _connector="OR"),
                        name="alternate_of_a_team",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StackClaim",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("group", models.CharField(blank=True, max_length=200)),
                ("taken_at", models.DateTimeField(auto_now_add=True)),
                ("given_back_at", models.DateTimeField(blank=True, null=True)),
                (
                    "helper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="claims", to="contest.helper"
                    ),
                ),
                (
                    "judging_class",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="claims", to="contest.judgingclass"
                    ),
                ),
            ],
            options={
                "ordering": ["taken_at"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("given_back_at__isnull", True)),
                        fields=("helper",),
                        name="one_stack_a_helper",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="KeyDispute",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("official", models.CharField(max_length=8)),
                ("by", models.CharField(max_length=200)),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("settled_by", models.CharField(blank=True, max_length=200)),
                ("settled_at", models.DateTimeField(blank=True, null=True)),
                (
                    "key",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="disputes", to="contest.key"
                    ),
                ),
                ("cuts", contest.models.animals.Cuts(max_length=60)),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("settled_at__isnull", True)), fields=("key",), name="key_dispute_one_open"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("settled_at__isnull", True), ("settled_by", "")),
                            models.Q(("settled_at__isnull", False), models.Q(("settled_by", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="key_dispute_settled_by",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CommitteeKey",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("version", models.PositiveSmallIntegerField()),
                ("placing", models.CharField(max_length=8)),
                ("cuts", contest.models.animals.Cuts(max_length=60)),
                ("by", models.CharField(max_length=200)),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("reason", models.CharField(blank=True, max_length=200)),
                (
                    "seat",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="keys",
                        to="contest.committeeseat",
                    ),
                ),
            ],
            options={
                "ordering": ["version"],
                "constraints": [
                    models.UniqueConstraint(fields=("seat", "version"), name="committee_key_version_unique"),
                    models.CheckConstraint(
                        condition=models.Q(("version__gte", 1)), name="committee_key_version_positive"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("placing", ""), _negated=True), name="committee_key_placed"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Card",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("placing", models.CharField(blank=True, max_length=10)),
                ("second", models.CharField(blank=True, max_length=10, null=True)),
                (
                    "state",
                    models.CharField(
                        choices=[("once", "read once"), ("settled", "settled"), ("doubt", "doubtful")], max_length=7
                    ),
                ),
                (
                    "contestant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="cards", to="contest.contestant"
                    ),
                ),
                (
                    "judging_class",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="cards",
                        to="contest.judgingclass",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("state", "doubt")),
                        fields=["judging_class", "contestant"],
                        name="card_in_doubt",
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("judging_class", "contestant"), name="card_unique"),
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["once", "settled", "doubt"])), name="card_state"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("second__isnull", True), models.Q(("second", ""), _negated=True), _connector="OR"
                        ),
                        name="card_second_not_empty",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Reading",
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
                ("number", models.PositiveIntegerField()),
                ("placing", models.CharField(blank=True, max_length=10)),
                ("on_card", models.CharField(blank=True, max_length=200)),
                (
                    "contestant",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="contest.contestant",
                    ),
                ),
                (
                    "helper",
                    models.ForeignKey(
                        blank=True,
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="contest.helper",
                    ),
                ),
                (
                    "judging_class",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="contest.judgingclass",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "abstract": False,
                "indexes": [
                    models.Index(fields=["judging_class", "contestant"], name="reading_of_card"),
                    models.Index(fields=["helper", "-id"], name="reading_of_helper"),
                    models.Index(fields=["judging_class", "at"], name="reading_pace"),
                ],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("by", ""), _negated=True), name="reading_by"),
                    models.CheckConstraint(
                        condition=models.Q(("source__in", ["paper", "official"])), name="reading_source"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("decides", False), models.Q(("reason", ""), _negated=True), _connector="OR"
                        ),
                        name="reading_decides_for_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by", "")),
                            models.Q(("withdrawn_at__isnull", False), models.Q(("withdrawn_by", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="reading_withdrawn_by",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ReasonsReading",
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
                ("hundredths", models.PositiveSmallIntegerField(blank=True, null=True)),
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
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("by", ""), _negated=True), name="reasonsreading_by"),
                    models.CheckConstraint(
                        condition=models.Q(("source__in", ["paper", "official"])), name="reasonsreading_source"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("decides", False), models.Q(("reason", ""), _negated=True), _connector="OR"
                        ),
                        name="reasonsreading_decides_for_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by", "")),
                            models.Q(("withdrawn_at__isnull", False), models.Q(("withdrawn_by", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="reasonsreading_withdrawn_by",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("hundredths__lte", 5000)), name="reasons_reading_at_most_50"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ReasonsScore",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("hundredths", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("second", models.PositiveSmallIntegerField(blank=True, null=True)),
                (
                    "state",
                    models.CharField(
                        choices=[("once", "read once"), ("settled", "settled"), ("doubt", "doubtful")], max_length=7
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
                        on_delete=django.db.models.deletion.PROTECT, related_name="scores", to="contest.reasonsofficial"
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("state", "doubt")), fields=["judging_class"], name="reasons_in_doubt"
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["once", "settled", "doubt"])), name="reasons_score_state"
                    ),
                    models.UniqueConstraint(
                        fields=("judging_class", "contestant", "official"), name="reasons_score_unique"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("hundredths__lte", 5000)), name="reasons_score_at_most_50"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="MarkReading",
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
                ("hundredths", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "contestant",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="mark_readings",
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
                        on_delete=django.db.models.deletion.PROTECT, related_name="readings", to="contest.part"
                    ),
                ),
                (
                    "team",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="mark_readings",
                        to="contest.team",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("by", ""), _negated=True), name="markreading_by"),
                    models.CheckConstraint(
                        condition=models.Q(("source__in", ["paper", "official"])), name="markreading_source"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("decides", False), models.Q(("reason", ""), _negated=True), _connector="OR"
                        ),
                        name="markreading_decides_for_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by", "")),
                            models.Q(("withdrawn_at__isnull", False), models.Q(("withdrawn_by", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="markreading_withdrawn_by",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("contestant__isnull", True), ("team__isnull", False)),
                            models.Q(("contestant__isnull", False), ("team__isnull", True)),
                            _connector="OR",
                        ),
                        name="mark_reading_of_contestant_or_team",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Mark",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("hundredths", models.PositiveIntegerField(blank=True, null=True)),
                ("second", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "state",
                    models.CharField(
                        choices=[("once", "read once"), ("settled", "settled"), ("doubt", "doubtful")], max_length=7
                    ),
                ),
                (
                    "contestant",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="marks",
                        to="contest.contestant",
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="marks", to="contest.part"
                    ),
                ),
                (
                    "team",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="marks",
                        to="contest.team",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "indexes": [
                    models.Index(condition=models.Q(("state", "doubt")), fields=["part"], name="mark_in_doubt")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["once", "settled", "doubt"])), name="mark_state"
                    ),
                    models.UniqueConstraint(fields=("part", "contestant"), name="mark_of_contestant_unique"),
                    models.UniqueConstraint(fields=("part", "team"), name="mark_of_team_unique"),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("contestant__isnull", True), ("team__isnull", False)),
                            models.Q(("contestant__isnull", False), ("team__isnull", True)),
                            _connector="OR",
                        ),
                        name="mark_of_contestant_or_team",
                    ),
                ],
            },
        ),
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
            name="Accommodation",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "extra_time",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "none"),
                            (25, "a quarter more"),
                            (50, "half as much again"),
                            (100, "twice the time"),
                        ],
                        default=0,
                    ),
                ),
                ("reader", models.BooleanField(default=False)),
                ("scribe", models.BooleanField(default=False)),
                ("large_print", models.BooleanField(default=False)),
                ("separate_room", models.BooleanField(default=False)),
                ("wheelchair", models.BooleanField(default=False)),
                ("note", models.CharField(blank=True, max_length=200)),
                (
                    "contestant",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="accommodation",
                        to="contest.contestant",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("extra_time__in", [0, 25, 50, 100])), name="accommodation_extra_time"
                    )
                ],
            },
        ),
        migrations.AddField(
            model_name="judgingclass",
            name="divisions",
            field=models.ManyToManyField(
                related_name="classes", through="contest.ClassDivision", to="contest.division"
            ),
        ),
        migrations.AddField(
            model_name="key",
            name="agreed_by",
            field=models.ManyToManyField(related_name="agreed_keys", to="contest.committeeofficial"),
        ),
        migrations.AddField(
            model_name="part",
            name="divisions",
            field=models.ManyToManyField(related_name="parts", to="contest.division"),
        ),
    ]

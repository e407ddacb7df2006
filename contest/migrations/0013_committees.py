import django.db.models.deletion
from django.db import migrations, models

import contest.models.animals


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0012_keep_or_cull"),
    ]

    operations = [
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
        migrations.RemoveConstraint(
            model_name="helper",
            name="helper_duty",
        ),
        migrations.RemoveConstraint(
            model_name="joincode",
            name="join_code_of_duty_unique",
        ),
        migrations.RemoveConstraint(
            model_name="joincode",
            name="join_code_duty",
        ),
        migrations.AlterField(
            model_name="helper",
            name="duty",
            field=models.CharField(
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
        migrations.AlterField(
            model_name="joincode",
            name="duty",
            field=models.CharField(
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
        migrations.AddField(
            model_name="helper",
            name="committee_official",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="devices",
                to="contest.committeeofficial",
            ),
        ),
        migrations.AddField(
            model_name="joincode",
            name="committee_official",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="join_code",
                to="contest.committeeofficial",
            ),
        ),
        migrations.AddField(
            model_name="key",
            name="agreed_by",
            field=models.ManyToManyField(related_name="agreed_keys", to="contest.committeeofficial"),
        ),
        migrations.AddConstraint(
            model_name="helper",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "duty__in",
                        ["tabulator", "keys", "reasons", "room", "official", "committee", "check-in", "announcer"],
                    )
                ),
                name="helper_duty",
            ),
        ),
        migrations.AddConstraint(
            model_name="helper",
            constraint=models.CheckConstraint(
                condition=models.Q(("duty", "committee"), ("committee_official__isnull", True), _connector="OR"),
                name="helper_of_committee_official",
            ),
        ),
        migrations.AddConstraint(
            model_name="joincode",
            constraint=models.UniqueConstraint(
                condition=models.Q(("committee_official__isnull", True), ("official__isnull", True)),
                fields=("contest", "duty"),
                name="join_code_of_duty_unique",
            ),
        ),
        migrations.AddConstraint(
            model_name="joincode",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("committee_official__isnull", False), ("duty", "committee")),
                    models.Q(models.Q(("duty", "committee"), _negated=True), ("committee_official__isnull", True)),
                    _connector="OR",
                ),
                name="join_code_of_committee_official",
            ),
        ),
        migrations.AddConstraint(
            model_name="joincode",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "duty__in",
                        ["tabulator", "keys", "reasons", "room", "official", "committee", "check-in", "announcer"],
                    )
                ),
                name="join_code_duty",
            ),
        ),
    ]

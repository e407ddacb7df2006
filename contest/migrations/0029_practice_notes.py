import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0028_practice_picture_place"),
    ]

    operations = [
        migrations.CreateModel(
            name="PracticeNote",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("pair", models.PositiveSmallIntegerField()),
                ("decided_by", models.TextField(blank=True)),
                ("grants", models.TextField(blank=True)),
                ("faults", models.TextField(blank=True)),
            ],
            options={
                "ordering": ["pair"],
            },
        ),
        migrations.RemoveConstraint(
            model_name="practiceclass",
            name="practice_class_step",
        ),
        migrations.AlterField(
            model_name="practiceclass",
            name="step",
            field=models.PositiveSmallIntegerField(
                choices=[
                    (0, "Joining"),
                    (1, "Placing"),
                    (2, "Closed"),
                    (3, "Group"),
                    (4, "Official"),
                    (5, "Cuts"),
                    (6, "Scores"),
                    (7, "Switches"),
                    (8, "Reasons"),
                ],
                default=0,
            ),
        ),
        migrations.AddConstraint(
            model_name="practiceclass",
            constraint=models.CheckConstraint(condition=models.Q(("step__lte", 8)), name="practice_class_step"),
        ),
        migrations.AddField(
            model_name="practicenote",
            name="judging_class",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="pair_notes",
                to="contest.practiceclass",
            ),
        ),
        migrations.AddConstraint(
            model_name="practicenote",
            constraint=models.UniqueConstraint(fields=("judging_class", "pair"), name="practice_note_unique"),
        ),
        migrations.AddConstraint(
            model_name="practicenote",
            constraint=models.CheckConstraint(
                condition=models.Q(("pair__gte", 1), ("pair__lt", 8)), name="practice_note_pair"
            ),
        ),
        migrations.AddConstraint(
            model_name="practicenote",
            constraint=models.CheckConstraint(
                condition=models.Q(("decided_by", ""), ("faults", ""), ("grants", ""), _negated=True),
                name="practice_note_says_something",
            ),
        ),
    ]

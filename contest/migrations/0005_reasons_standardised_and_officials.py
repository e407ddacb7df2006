from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0004_results_prints_and_rooms"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="helper",
            name="helper_duty",
        ),
        migrations.RemoveConstraint(
            model_name="joincode",
            name="join_code_duty",
        ),
        migrations.AddField(
            model_name="contest",
            name="reasons_standardised",
            field=models.BooleanField(default=False),
        ),
        migrations.AlterField(
            model_name="helper",
            name="duty",
            field=models.CharField(
                choices=[
                    ("tabulator", "Tabulator: reads placing cards"),
                    ("keys", "Keys: enters the officials' placings and cuts"),
                    ("reasons", "Reasons: enters reasons scores and marks"),
                    ("official", "Official: notes what decided the pairs of a class"),
                    ("check-in", "Check-in: ticks contestants off as they arrive"),
                    ("announcer", "Announcer: reads the awards"),
                ],
                max_length=9,
            ),
        ),
        migrations.AlterField(
            model_name="joincode",
            name="duty",
            field=models.CharField(
                choices=[
                    ("tabulator", "Tabulator: reads placing cards"),
                    ("keys", "Keys: enters the officials' placings and cuts"),
                    ("reasons", "Reasons: enters reasons scores and marks"),
                    ("official", "Official: notes what decided the pairs of a class"),
                    ("check-in", "Check-in: ticks contestants off as they arrive"),
                    ("announcer", "Announcer: reads the awards"),
                ],
                max_length=9,
            ),
        ),
        migrations.AddConstraint(
            model_name="helper",
            constraint=models.CheckConstraint(
                condition=models.Q(("duty__in", ["tabulator", "keys", "reasons", "official", "check-in", "announcer"])),
                name="helper_duty",
            ),
        ),
        migrations.AddConstraint(
            model_name="joincode",
            constraint=models.CheckConstraint(
                condition=models.Q(("duty__in", ["tabulator", "keys", "reasons", "official", "check-in", "announcer"])),
                name="join_code_duty",
            ),
        ),
    ]

from django.db import migrations, models

SOURCES = [
    ("paper", "read off paper by a person"),
    ("official", "entered by the official: nothing was copied, and nothing misread"),
]
READINGS = ("reading", "reasonsreading", "markreading")


class Migration(migrations.Migration):
    dependencies = [("contest", "0017_tablets_of_officials")]

    operations = [
        *(
            migrations.AddField(
                readings,
                "source",
                models.CharField(choices=SOURCES, default="paper", max_length=8),
                preserve_default=True,
            )
            for readings in READINGS
        ),
        migrations.RunSQL(
            "UPDATE contest_reasonsreading SET source = 'official' WHERE by_official",
            "UPDATE contest_reasonsreading SET by_official = (source = 'official')",
        ),
        migrations.RemoveField("reasonsreading", "by_official"),
        *(
            migrations.AddConstraint(
                readings,
                models.CheckConstraint(condition=models.Q(source__in=["paper", "official"]), name=f"{readings}_source"),
            )
            for readings in READINGS
        ),
    ]

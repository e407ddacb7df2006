from django.db import migrations, models


class Migration(migrations.Migration):
    """The tables are the contest's own by now."""

    dependencies = [
        ("contest", "0014_reasons_scores"),
        ("reasons", "0006_doubts_found_by_index"),
    ]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.AlterField(
                    "room",
                    "officials",
                    models.ManyToManyField("contest.reasonsofficial", blank=True, related_name="rooms"),
                ),
                migrations.AlterField(
                    "setnote",
                    "official",
                    models.ForeignKey("contest.reasonsofficial", models.CASCADE, related_name="set_notes"),
                ),
                migrations.DeleteModel("ReasonsReading"),
                migrations.DeleteModel("ReasonsScore"),
                migrations.DeleteModel("ReasonsOfficial"),
            ]
        )
    ]

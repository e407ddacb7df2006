from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0010_rows_before"),
    ]

    operations = [
        migrations.AddIndex(
            model_name="card",
            index=models.Index(
                condition=models.Q(("state", "doubt")), fields=["judging_class", "contestant"], name="card_in_doubt"
            ),
        ),
        migrations.AddIndex(
            model_name="mark",
            index=models.Index(
                condition=models.Q(("state", "doubt")),
                fields=["part"],
                name="mark_in_doubt",
            ),
        ),
    ]

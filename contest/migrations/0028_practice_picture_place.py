from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0027_scanned_keep_cards"),
    ]

    operations = [
        migrations.AddField("practicepicture", "place", models.PositiveSmallIntegerField(default=0)),
    ]

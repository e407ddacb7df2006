from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("scoring", "0001_results_prints_and_rooms"),
    ]

    operations = [
        migrations.AddField(
            model_name="release",
            name="reasons_standardised",
            field=models.BooleanField(default=False),
        ),
    ]

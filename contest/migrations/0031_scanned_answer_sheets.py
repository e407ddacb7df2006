from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0030_practice_sets"),
    ]

    operations = [
        migrations.AlterField(
            model_name="scannedcard",
            name="placing",
            field=models.CharField(blank=True, max_length=100),
        ),
    ]

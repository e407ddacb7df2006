from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0011_doubts_found_by_index"),
        ("reasons", "0005_room_classes_and_wishes"),
    ]

    operations = [
        migrations.AddIndex(
            model_name="reasonsscore",
            index=models.Index(
                condition=models.Q(("state", "doubt")), fields=["judging_class"], name="reasons_in_doubt"
            ),
        ),
    ]

from django.db import migrations, models
from django.db.models import Max, OuterRef, Subquery


def put_newest_on(apps, schema_editor):
    """Until now the newest class was the one that was practised on."""
    classes = apps.get_model("contest", "PracticeClass").objects.filter(practice=OuterRef("pk")).order_by()
    newest = classes.values("practice").annotate(newest=Max("number")).values("newest")
    apps.get_model("contest", "Practice").objects.update(on=Subquery(newest))


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0025_practice_pictures"),
    ]

    operations = [
        migrations.AddField("practice", "on", models.PositiveSmallIntegerField(default=1)),
        migrations.RunPython(put_newest_on, migrations.RunPython.noop),
    ]

from django.db import migrations, models


def carry_over(apps, schema_editor):
    """What was revealed of the list on stage becomes that list's own."""
    for ceremony in apps.get_model("scoring", "Ceremony").objects.exclude(award_list=None):
        ceremony.award_list.revealed = ceremony.revealed
        ceremony.award_list.save(update_fields=["revealed"])


class Migration(migrations.Migration):
    dependencies = [
        ("scoring", "0002_reasons_standardised"),
    ]

    operations = [
        migrations.AddField("awardlist", "revealed", models.PositiveSmallIntegerField(default=0)),
        migrations.RunPython(carry_over, migrations.RunPython.noop),
        migrations.RemoveField("ceremony", "revealed"),
    ]

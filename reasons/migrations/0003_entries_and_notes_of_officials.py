import json

import django.db.models.deletion
from django.db import migrations, models


def move(apps, schema_editor):
    """Standardising becomes a rule of the contest, and what each official wrote on a set a row of its own."""
    for day in apps.get_model("reasons", "ReasonsDay").objects.filter(standardised=True):
        apps.get_model("contest", "Contest").objects.filter(pk=day.contest_id).update(reasons_standardised=True)
    names = dict(apps.get_model("reasons", "ReasonsOfficial").objects.values_list("pk", "name"))
    SetNote = apps.get_model("reasons", "SetNote")
    for slot in apps.get_model("reasons", "Slot").objects.exclude(note=""):
        for official, page in json.loads(slot.note).items():
            if int(official) in names:
                SetNote.objects.create(
                    judging_class_id=slot.judging_class_id,
                    contestant_id=slot.contestant_id,
                    official_id=int(official),
                    by=names[int(official)][:60],  # as whose device usually came in
                    note=page["note"],
                    marks=page["marks"],
                )


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0005_reasons_standardised_and_officials"),
        ("reasons", "0002_results_prints_and_rooms"),
    ]

    operations = [
        migrations.AddField(
            model_name="reasonsreading",
            name="by_official",
            field=models.BooleanField(default=False),
        ),
        migrations.CreateModel(
            name="SetNote",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("by", models.CharField(max_length=60)),
                ("note", models.TextField(blank=True)),
                ("marks", models.JSONField(blank=True, default=dict)),
                (
                    "contestant",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="set_notes", to="contest.contestant"
                    ),
                ),
                (
                    "judging_class",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="set_notes", to="contest.judgingclass"
                    ),
                ),
                (
                    "official",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="set_notes",
                        to="reasons.reasonsofficial",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("judging_class", "contestant", "official", "by"), name="set_note_unique"
                    )
                ],
            },
        ),
        migrations.RunPython(move, migrations.RunPython.noop),
        migrations.RemoveField(
            model_name="reasonsday",
            name="standardised",
        ),
        migrations.RemoveField(
            model_name="slot",
            name="note",
        ),
    ]

import uuid

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0011_doubts_found_by_index"),
    ]

    operations = [
        migrations.CreateModel(
            name="Identity",
            fields=[
                ("one", models.BooleanField(default=True, primary_key=True, serialize=False)),
                ("uuid", models.UUIDField(default=uuid.uuid4)),
            ],
            options={
                "verbose_name_plural": "identities",
                "constraints": [models.CheckConstraint(condition=models.Q(("one", True)), name="identity_is_one")],
            },
        ),
    ]

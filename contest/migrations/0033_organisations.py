import django.db.models.deletion
import django.db.models.functions.text
from django.conf import settings
from django.db import migrations, models


def make_the_first(apps, schema_editor):
    """Whatever there is belongs to it: its key is 1, as its table is new."""
    apps.get_model("contest", "Organisation").objects.create()


class Migration(migrations.Migration):
    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
        ("contest", "0032_wrong_attempts"),
    ]

    operations = [
        migrations.CreateModel(
            name="Organisation",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(
                        django.db.models.functions.text.Lower("name"), name="organisation_name_unique"
                    )
                ],
            },
        ),
        migrations.RunPython(make_the_first, migrations.RunPython.noop),
        migrations.CreateModel(
            name="Membership",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("owner", "everything, and who else may"),
                            ("all", "every contest"),
                            ("some", "some contests"),
                        ],
                        default="owner",
                        max_length=5,
                    ),
                ),
                (
                    "organisation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="memberships",
                        to="contest.organisation",
                    ),
                ),
                (
                    "user",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="membership",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("role__in", ["owner", "all", "some"])), name="membership_role"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Invitation",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("owner", "everything, and who else may"),
                            ("all", "every contest"),
                            ("some", "some contests"),
                        ],
                        max_length=5,
                    ),
                ),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("by", models.CharField(max_length=200)),
                ("ends_at", models.DateTimeField()),
                (
                    "organisation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="invitations",
                        to="contest.organisation",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("role__in", ["owner", "all", "some"])), name="invitation_role"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Permit",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "contest",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="permits", to="contest.contest"
                    ),
                ),
                (
                    "membership",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="permits",
                        to="contest.membership",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [models.UniqueConstraint(fields=("membership", "contest"), name="permit_once")],
            },
        ),
    ]

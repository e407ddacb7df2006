import django.core.validators
import django.db.models.deletion
import django.db.models.functions.text
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("contest", "0029_practice_notes"),
    ]

    operations = [
        migrations.CreateModel(
            name="PracticeSet",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("outline", models.JSONField(blank=True, default=dict)),
                ("called_at", models.DateTimeField(blank=True, null=True)),
                ("speaks", models.BooleanField(default=False)),
            ],
            options={
                "ordering": ["pk"],
            },
        ),
        migrations.CreateModel(
            name="PracticeSetScore",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "accuracy",
                    models.PositiveSmallIntegerField(validators=[django.core.validators.MaxValueValidator(10)]),
                ),
                (
                    "delivery",
                    models.PositiveSmallIntegerField(validators=[django.core.validators.MaxValueValidator(10)]),
                ),
                ("terms", models.PositiveSmallIntegerField(validators=[django.core.validators.MaxValueValidator(10)])),
                (
                    "organisation",
                    models.PositiveSmallIntegerField(validators=[django.core.validators.MaxValueValidator(10)]),
                ),
                ("comment", models.TextField(blank=True)),
                ("at", models.DateTimeField(auto_now=True)),
            ],
            options={
                "ordering": ["by_id", "pk"],
            },
        ),
        migrations.CreateModel(
            name="TermList",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("species", models.CharField(blank=True, max_length=200)),
                ("words", models.TextField()),
            ],
            options={
                "ordering": ["species"],
            },
        ),
        migrations.AddField(
            model_name="practice",
            name="peers_score",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="practice",
            name="reasons_minutes",
            field=models.PositiveSmallIntegerField(default=2),
        ),
        migrations.AddField(
            model_name="practice",
            name="weight_accuracy",
            field=models.PositiveSmallIntegerField(default=4),
        ),
        migrations.AddField(
            model_name="practice",
            name="weight_delivery",
            field=models.PositiveSmallIntegerField(default=2),
        ),
        migrations.AddField(
            model_name="practice",
            name="weight_organisation",
            field=models.PositiveSmallIntegerField(default=2),
        ),
        migrations.AddField(
            model_name="practice",
            name="weight_terms",
            field=models.PositiveSmallIntegerField(default=2),
        ),
        migrations.AddConstraint(
            model_name="practice",
            constraint=models.CheckConstraint(
                condition=models.Q(("reasons_minutes__range", (1, 10))), name="practice_reasons_minutes"
            ),
        ),
        migrations.AddConstraint(
            model_name="practice",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("weight_accuracy", 0),
                    ("weight_delivery", 0),
                    ("weight_organisation", 0),
                    ("weight_terms", 0),
                    _negated=True,
                ),
                name="practice_some_aspect_counts",
            ),
        ),
        migrations.AddField(
            model_name="practiceset",
            name="judging_class",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="sets",
                to="contest.practiceclass",
            ),
        ),
        migrations.AddField(
            model_name="practiceset",
            name="member",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="sets", to="contest.practicemember"
            ),
        ),
        migrations.AddField(
            model_name="practicesetscore",
            name="by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="gave",
                to="contest.practicemember",
            ),
        ),
        migrations.AddField(
            model_name="practicesetscore",
            name="set",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="scores",
                to="contest.practiceset",
            ),
        ),
        migrations.AddConstraint(
            model_name="termlist",
            constraint=models.UniqueConstraint(
                django.db.models.functions.text.Lower("species"), name="term_list_species_unique"
            ),
        ),
        migrations.AddConstraint(
            model_name="termlist",
            constraint=models.CheckConstraint(
                condition=models.Q(("words", ""), _negated=True), name="term_list_says_something"
            ),
        ),
        migrations.AddConstraint(
            model_name="practiceset",
            constraint=models.UniqueConstraint(fields=("judging_class", "member"), name="practice_set_unique"),
        ),
        migrations.AddConstraint(
            model_name="practiceset",
            constraint=models.UniqueConstraint(
                condition=models.Q(("speaks", True)), fields=("judging_class",), name="practice_set_one_speaks"
            ),
        ),
        migrations.AddConstraint(
            model_name="practiceset",
            constraint=models.CheckConstraint(
                condition=models.Q(("speaks", False), ("called_at__isnull", False), _connector="OR"),
                name="practice_set_called",
            ),
        ),
        migrations.AddConstraint(
            model_name="practicesetscore",
            constraint=models.UniqueConstraint(fields=("set", "by"), name="practice_set_score_unique"),
        ),
        migrations.AddConstraint(
            model_name="practicesetscore",
            constraint=models.UniqueConstraint(
                condition=models.Q(("by", None)), fields=("set",), name="practice_set_score_one_coach"
            ),
        ),
        migrations.AddConstraint(
            model_name="practicesetscore",
            constraint=models.CheckConstraint(condition=models.Q(("accuracy__lte", 10)), name="practice_set_accuracy"),
        ),
        migrations.AddConstraint(
            model_name="practicesetscore",
            constraint=models.CheckConstraint(condition=models.Q(("delivery__lte", 10)), name="practice_set_delivery"),
        ),
        migrations.AddConstraint(
            model_name="practicesetscore",
            constraint=models.CheckConstraint(condition=models.Q(("terms__lte", 10)), name="practice_set_terms"),
        ),
        migrations.AddConstraint(
            model_name="practicesetscore",
            constraint=models.CheckConstraint(
                condition=models.Q(("organisation__lte", 10)), name="practice_set_organisation"
            ),
        ),
    ]

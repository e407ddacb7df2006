import django.db.models.deletion
from django.db import migrations, models

OWNED = models.ForeignKey(
    default=1,
    on_delete=django.db.models.deletion.PROTECT,
    related_name="+",
    to="contest.organisation",
)
"""What is there already belongs to the first."""


class Migration(migrations.Migration):
    dependencies = [("scoring", "0013_shared_prints"), ("contest", "0034_owned")]

    operations = [
        *(
            migrations.AddField(model_name=name, name="organisation", field=OWNED.clone(), preserve_default=False)
            for name in ("season", "librarypractice")
        ),
        migrations.AlterField(model_name="librarypractice", name="digest", field=models.CharField(max_length=64)),
        migrations.AddConstraint(
            model_name="librarypractice",
            constraint=models.UniqueConstraint(fields=("organisation", "digest"), name="library_practice_kept_once"),
        ),
    ]

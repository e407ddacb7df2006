import django.db.models.deletion
import django.db.models.functions.text
from django.db import migrations, models

OWNED = models.ForeignKey(
    default=1,
    on_delete=django.db.models.deletion.PROTECT,
    related_name="+",
    to="contest.organisation",
)
"""What is there already belongs to the first."""


def let_everybody_in(apps, schema_editor):
    """Whoever could sign in so far may do everything, and who came first runs the machine."""
    users = apps.get_model("auth", "User").objects.order_by("pk")
    make = apps.get_model("contest", "Membership").objects.create
    for user in users:
        make(user=user, organisation_id=1)
    first = users.filter(is_active=True).first()
    if first:
        users.filter(pk=first.pk).update(is_superuser=True)


class Migration(migrations.Migration):
    dependencies = [("contest", "0033_organisations")]

    operations = [
        *(
            migrations.AddField(model_name=name, name="organisation", field=OWNED.clone(), preserve_default=False)
            for name in ("contest", "event", "practice", "termlist")
        ),
        migrations.RemoveConstraint(model_name="termlist", name="term_list_species_unique"),
        migrations.AddConstraint(
            model_name="termlist",
            constraint=models.UniqueConstraint(
                models.F("organisation"),
                django.db.models.functions.text.Lower("species"),
                name="term_list_species_unique",
            ),
        ),
        migrations.RunPython(let_everybody_in, migrations.RunPython.noop),
    ]

from django.db import migrations


class Migration(migrations.Migration):
    """The tables of events are the other app's, which made them its own and keeps their rows."""

    dependencies = [
        ("contest", "0019_events"),
        ("scoring", "0008_all_tables"),
    ]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.DeleteModel(name="EventContest"),
                migrations.DeleteModel(name="Event"),
            ]
        ),
    ]

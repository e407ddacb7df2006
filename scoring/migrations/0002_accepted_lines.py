"""What was accepted with a release is kept as codes and values of sentences; an older line is its own code."""

from django.db import migrations


def to_codes(apps, schema_editor):
    for release in apps.get_model("scoring", "Release").objects.only("accepted").iterator():
        if any(isinstance(line, str) for line in release.accepted):
            release.accepted = [{"code": line, "values": {}} for line in release.accepted]
            release.save(update_fields=["accepted"])


class Migration(migrations.Migration):
    dependencies = [("scoring", "0001_tables")]

    operations = [migrations.RunPython(to_codes, migrations.RunPython.noop)]

"""A newer version of Tanbark, whose tables the one before bears."""

import shutil

from django.conf import settings

NEWER = """
from django.db import migrations, models

class Migration(migrations.Migration):
    dependencies = [("contest", "{last}")]
    operations = [migrations.AddField("reading", "heard", models.TextField(default="", db_default=""))]
"""


HEARD = 'models.TextField(default="", db_default="").contribute_to_class(Reading, "heard")\n'


def a_newer_version(code):
    """A checkout of another digest, with a table of readings that has one more column."""
    for name in ("contest", "reasons", "scoring"):
        shutil.copytree(settings.BASE_DIR / name, code / name)
    for name in ("templates", "static", "fixtures", "requirements.txt"):
        (code / name).symlink_to(settings.BASE_DIR / name)
    folder = code / "contest" / "migrations"
    last = max(path.stem for path in folder.glob("0*.py"))
    (folder / f"{int(last[:4]) + 1:04}_heard.py").write_text(NEWER.format(last=last))
    readings = code / "contest" / "models" / "readings.py"
    readings.write_text(readings.read_text() + HEARD)
    return code

"""The static files, collected under names that never change, and packed."""

import hashlib
import json
import shutil

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command


def collect_static() -> bool:
    """Collect and compress the static files if any changed since the last time; says whether it did."""
    seen = settings.STATIC_ROOT / "collected-from.json"
    now = fingerprint()
    try:
        if json.loads(seen.read_text(encoding="utf-8")) == now:
            return False
    except (OSError, ValueError):
        pass
    shutil.rmtree(settings.STATIC_ROOT, ignore_errors=True)
    call_command("collectstatic", interactive=False, verbosity=0)
    seen.write_text(json.dumps(now), encoding="utf-8")
    return True


def fingerprint() -> list[list[str]]:
    """Each file with the digest of what it holds: an image of Tanbark or a new clone alters the times of them all."""
    files = []
    for finder in get_finders():
        for name, storage in finder.list([]):
            with open(storage.path(name), "rb") as file:
                files.append([name, hashlib.file_digest(file, "sha256").hexdigest()])
    return sorted(files)

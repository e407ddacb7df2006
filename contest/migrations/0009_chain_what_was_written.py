"""Chain the entries that were written before there were chains, with whoever acted as a token."""

import hashlib
import json
import secrets
from datetime import UTC

from django.db import migrations

NAME_KEYS = {"first_name", "last_name", "say_name"}


def chain(apps, schema_editor):
    unguard(schema_editor)
    Contest, TrailEntry, TrailName = (
        apps.get_model("contest", name) for name in ("Contest", "TrailEntry", "TrailName")
    )
    for contest in Contest.objects.all():
        tokens, head = {}, ""

        def token(name, contest=contest, tokens=tokens):
            if name not in tokens:
                salt = secrets.token_hex(16)
                tokens[name] = "name:" + hashlib.sha256((salt + name).encode()).hexdigest()[:40]
                TrailName.objects.create(contest=contest, salt=salt, name=name, token=tokens[name])
            return tokens[name]

        def hidden(value, is_name=False, token=token):
            if isinstance(value, str):
                return token(value) if is_name and value else value
            if isinstance(value, dict):
                return {key: hidden(held, is_name or key in NAME_KEYS) for key, held in value.items()}
            return [hidden(held, is_name) for held in value] if isinstance(value, list) else value

        for entry in TrailEntry.objects.filter(contest=contest).order_by("revision").iterator():
            entry.by = token(entry.by)
            entry.before, entry.after = hidden(entry.before), hidden(entry.after)
            said = [
                head,
                contest.pk,
                entry.revision,
                entry.at.astimezone(UTC).isoformat(timespec="microseconds"),
                entry.by,
                entry.what,
                entry.before,
                entry.after,
                entry.touches,
                entry.about,
                entry.rows_digest,
            ]
            head = hashlib.sha256(json.dumps(said, sort_keys=True, separators=(",", ":")).encode()).hexdigest()
            entry.hash = head
            entry.save(update_fields=["by", "before", "after", "hash"])
        Contest.objects.filter(pk=contest.pk).update(trail_head=head)


def unguard(schema_editor):
    """Triggers may stand there already, where the migration is done again; whatever follows makes them anew."""
    names = ("entry_unchanged", "entry_kept", "entry_not_replaced", "name_unchanged", "name_kept", "name_not_replaced")
    for name in (*names, "not_emptied"):
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute(f"DROP FUNCTION IF EXISTS trail_{name}() CASCADE")
        else:
            schema_editor.execute(f"DROP TRIGGER IF EXISTS trail_{name}")


def unchain(apps, schema_editor):
    """Put names back where they are known."""
    unguard(schema_editor)
    TrailEntry, TrailName = (apps.get_model("contest", name) for name in ("TrailEntry", "TrailName"))
    names = dict(TrailName.objects.filter(name__isnull=False).values_list("token", "name"))

    def shown(value):
        if isinstance(value, str):
            return names.get(value, value)
        if isinstance(value, dict):
            return {key: shown(held) for key, held in value.items()}
        return [shown(held) for held in value] if isinstance(value, list) else value

    TrailEntry.objects.filter(contest=None).delete()
    for entry in TrailEntry.objects.iterator():
        entry.by, entry.before, entry.after = names.get(entry.by, entry.by), shown(entry.before), shown(entry.after)
        entry.save(update_fields=["by", "before", "after"])
    TrailName.objects.filter(name__isnull=False).delete()


class Migration(migrations.Migration):
    dependencies = [("contest", "0008_trail_chains")]

    operations = [migrations.RunPython(chain, unchain)]

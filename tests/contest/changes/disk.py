"""What tests ask of the disk."""

from django.db import connection


def waits_for_the_disk():
    """Whether what this thread changes now is on the disk before it goes on."""
    asked = {"sqlite": "PRAGMA synchronous", "postgresql": "SHOW synchronous_commit"}[connection.vendor]
    with connection.cursor() as cursor:
        cursor.execute(asked)
        return cursor.fetchone()[0] in (2, "on")  # 2 is FULL

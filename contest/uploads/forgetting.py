"""What waits for the next request in the cache `shared` goes once nobody may ask for it any more: names stand in it."""

from __future__ import annotations

from django.conf import settings
from django.db import connection


def forget_expired() -> None:
    """Of several processes' table; what one alone keeps in memory ends with it."""
    if settings.SEVERAL:
        with connection.cursor() as cursor:
            cursor.execute("DELETE FROM tanbark_shared WHERE expires < now()")

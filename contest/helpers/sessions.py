"""Sessions of browsers, which name who signed in or joined; Django keeps them until somebody clears them."""

from __future__ import annotations

from importlib import import_module

from django.conf import settings


def forget_expired() -> None:
    """Remove the sessions that are over."""
    import_module(settings.SESSION_ENGINE).SessionStore.clear_expired()

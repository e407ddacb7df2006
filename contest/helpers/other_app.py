"""What is kept of people besides rows of contests: sessions of browsers, which Django keeps until they are cleared."""

from __future__ import annotations

from importlib import import_module

from django.conf import settings

from contest.other_apps import OtherApp


def forget_old_sessions() -> None:
    """Remove the sessions that are over: each names who signed in or joined."""
    import_module(settings.SESSION_ENGINE).SessionStore.clear_expired()


HELPERS = OtherApp(tidying=(forget_old_sessions,))

"""Why a change is not made. Each is raised in words for whoever asked for it."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _


class NotPossible(ValueError):
    """Raised for a change that cannot be made, in words for whoever asked for it."""


class WrongValue(NotPossible):
    """Raised for one value that cannot be; `field` says which."""

    def __init__(self, field: str, reason: str) -> None:
        super().__init__(reason)
        self.field = field


class InUse(NotPossible):
    """Raised for what cannot be removed because something uses it; `uses` says what, and what to do about it."""

    def __init__(self, what: str, uses: list[str]) -> None:
        super().__init__(_("{what} is in use: {uses}").format(what=what, uses="; ".join(uses)))
        self.uses = uses


class ChangedMeanwhile(NotPossible):
    """Raised when somebody else changed the same thing since its page was loaded; `theirs` is how it is now."""

    def __init__(self, theirs: dict[str, Any]) -> None:
        super().__init__(_("somebody else changed this meanwhile"))
        self.theirs = theirs

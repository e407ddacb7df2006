"""A class's key as it is shown in public by itself."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from contest.models import JudgingClass, Key
from scoring.models import KeyRelease


@dataclass(frozen=True, slots=True)
class ShownKey:
    """A key that is shown. `corrected` says when and why, where it is not the one that was shown first."""

    key: Key
    at: datetime
    corrected: str = ""


def shown_key(judged: JudgingClass) -> ShownKey | None:
    """The key that is shown for a class; None where none is, as for a class of which no card counts.

    A key that changed after it was shown is shown once it is confirmed, as a correction.
    """
    release = KeyRelease.objects.filter(judging_class=judged).first()
    if release is None or judged.void or judged.full_points:
        return None
    keys = [key for key in judged.keys.all() if key.confirmed_by or key.at <= release.at]
    if not keys:
        return None
    key = keys[-1]
    corrected = ""
    if key.at > release.at:
        corrected = _("corrected, {clock}, {reason}").format(clock=f"{localtime(key.at):%H:%M}", reason=key.reason)
    return ShownKey(key, localtime(release.at), corrected)

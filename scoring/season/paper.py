"""The page for a parent: what the season says of one member, laid out by a process of its own, as every paper is."""

from __future__ import annotations

import json
import threading
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from contest.background import start_child
from contest.changes.exceptions import NotPossible
from scoring.models import SeasonMember
from scoring.prints.choice import PAPERS
from scoring.prints.folders import not_written, private
from scoring.prints.fonts import leave_out, undrawn
from scoring.prints.rendering import with_styles
from scoring.season.showing import shown_member

LONGEST = 60
"""Seconds after which nobody waits for the page any more."""
MOST_ATTENDED = 10
"""Of the contests and practices, the latest so many: it is one page."""


def html_for_parent(member: SeasonMember, paper: str) -> str:
    context: dict[str, Any] = shown_member(member)
    attended = context.pop("attended")
    context |= {"attended": attended[:MOST_ATTENDED], "earlier": len(attended) - len(attended[:MOST_ATTENDED])}
    context |= {"today": timezone.localdate(), "paper": paper}
    page = render_to_string("prints/season_member.html", context)
    return with_styles(leave_out(page, undrawn(page)), paper, ("season",))


def pdf_for_parent(member: SeasonMember, paper: str) -> bytes:
    """The page as a PDF; nothing of it stays on the disk. Raises NotPossible in words."""
    assert paper in PAPERS
    try:
        folder = private(Path(settings.DATA_FOLDER), "prints")
        with TemporaryDirectory(dir=folder, prefix="season-") as own:
            return _made(html_for_parent(member, paper), Path(own) / "page.pdf")
    except OSError as error:
        raise NotPossible(not_written(error)) from None


def _made(html: str, out: Path) -> bytes:
    order = {"html": html, "out": str(out), "language": get_language() or settings.LANGUAGE_CODE}
    child = start_child("scoring.season.child", json.dumps(order))
    too_long = threading.Timer(LONGEST, child.kill)
    too_long.daemon = True
    too_long.start()
    with child:
        assert child.stdout is not None
        said = child.stdout.read()
    too_long.cancel()
    if child.returncode == 0:
        return out.read_bytes()
    try:
        raise NotPossible(str(json.loads(said.splitlines()[-1])["problem"]))
    except (ValueError, LookupError):
        raise NotPossible(_("The process that made it stopped without a word.")) from None

"""Looking at a document before it is printed: its first pages, as they will come out of the printer.

They are made in a process of its own beside the print jobs, so that nobody waits behind a long one, and drawn as
pictures, which every browser shows. A look is kept in memory and in a folder of its own; a restart forgets it. Only
the last few are kept, and whoever looks at something else ends what is still being made for them.

`_lock` is over that memory, and is never held while anything is written (see `contest.changes.locks`).
"""

from __future__ import annotations

import json
import secrets
import shutil
import subprocess
import threading
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connections

from contest.background import start_child
from contest.changes.locks import MemoryLock
from contest.models import Contest
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.folders import not_written, private
from scoring.prints.jobs import WITHOUT_A_WORD, heard, in_this_language, told_to_child

KEPT = 8
PAGES = 6
"""Pages that are drawn; and sheets that are laid out, where a document is made of sheets."""

_lock = MemoryLock()
_looks: dict[str, Look] = {}


@dataclass(slots=True)
class Look:
    """`drawn` pages are there to be seen, of `total`, which is `about` so many where not all are laid out."""

    token: str
    contest_id: int
    document: Document
    choice: Choice
    by: str
    drawn: int = 0
    total: int = 0
    about: bool = False
    revision: int = 0
    problem: str = ""
    ended: bool = False
    child: subprocess.Popen[str] | None = field(default=None, repr=False)

    @property
    def folder(self) -> Path:
        return _folder() / self.token

    @property
    def pdf(self) -> Path:
        return self.folder / "pages.pdf"

    def page(self, number: int) -> Path:
        return self.folder / f"{number}.png"


def begin(contest: Contest, document: Document, choice: Choice, by: str) -> Look:
    """Have the first pages of a document made, as it would be printed at this moment and in this language."""
    look = Look(secrets.token_urlsafe(9), contest.pk, document, in_this_language(choice), by)
    with _lock:
        unwanted = [other for other in _looks.values() if other.by == by and not other.ended]
        unwanted += list(_looks.values())[: max(0, len(_looks) + 1 - KEPT)]
        for other in unwanted:
            _looks.pop(other.token, None)
        _looks[look.token] = look
        known = set(_looks)
    for other in unwanted:
        if other.child:
            other.child.terminate()
    threading.Thread(target=_make, args=(look, known), name="look", daemon=True).start()
    return look


def look_of(contest: Contest, token: str) -> Look | None:
    look = _looks.get(token)
    return look if look and look.contest_id == contest.pk else None


def forget_looks() -> None:
    """Throw all of them away: there are names in them."""
    with _lock:
        gone = list(_looks.values())
        _looks.clear()
    for look in gone:
        if look.child:
            look.child.terminate()
    shutil.rmtree(_folder(), ignore_errors=True)


def _folder() -> Path:
    return Path(settings.DATA_FOLDER) / "prints" / "looks"


def _make(look: Look, known: set[str]) -> None:
    try:
        private(_folder().parent.parent, "prints")
        private(_folder().parent, "looks")
        for folder in _folder().iterdir():
            if folder.name not in known:
                shutil.rmtree(folder, ignore_errors=True)
        look.folder.mkdir(mode=0o700)
        look.child = start_child("scoring.prints.child", json.dumps(_order(look)))
        with look.child as child:
            assert child.stdout is not None
            for line in child.stdout:
                _hear(look, line)
        if child.returncode and not look.problem:
            look.problem = WITHOUT_A_WORD
    except OSError as error:
        look.problem = not_written(error)
    finally:
        look.ended = True
        if look.token not in _looks:
            shutil.rmtree(look.folder, ignore_errors=True)
        connections.close_all()


def _order(look: Look) -> dict[str, Any]:
    told = told_to_child(look.contest_id, look.document.name, look.choice.as_json(), look.pdf)
    return {**told, "look": PAGES}


def _hear(look: Look, line: str) -> None:
    for name, said in heard(line, "drawn", "total", "about", "revision", "problem").items():
        setattr(look, name, said)

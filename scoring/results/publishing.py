"""A static copy of the released results, which any web server can hand to any number of readers.

Plain HTML with its styles and fonts beside it and relative links, so that it also works from a folder on a stick.
"""

from __future__ import annotations

import ctypes
import os
import re
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from contest.changes.exceptions import NotPossible
from contest.models import Contest
from scoring.announced.held_back import holds_back
from scoring.announced.released import Released, released
from scoring.core.result import Standing
from scoring.models import TakeHomeLink
from scoring.results.downloads import csv_zip, workbook
from scoring.results.home import home_page
from scoring.results.links import links_of
from scoring.results.protests import ToldWindow, told_of_protests
from scoring.results.public import Site, class_page, list_page
from scoring.results.telling import telling_of
from scoring.standings.sheets import Sheets

STYLES = (
    "css/tokens.css",
    "css/base.css",
    "css/programme.css",
    "css/tables.css",
    "css/components.css",
    "css/results.css",
    "css/print.css",
)
SIGN = "published-by-tanbark.txt"
"""What a folder that we made holds: another one is never replaced."""

_NO_LISTING = {"home/index.html": b"<!DOCTYPE html><title>Tanbark</title>\n"}
"""A web server that lists folders would tell every family's address."""

_NAMED_FILE = re.compile(r"""url\(["']?(?!data:)([^"')]+)["']?\)""")


class NotOurs(NotPossible):
    """Raised for a folder that holds something else than what was written here."""

    def __init__(self, folder: Path) -> None:
        told = _("{folder} holds something else; name a folder that does not exist yet")
        super().__init__(told.format(folder=folder))


def publish(contest: Contest, folder: Path) -> int:
    """Write the static copy of what was announced into `folder`, and return the number of its pages.

    It is made beside the folder and then takes its place, so that no reader finds half of it. Raises NotPossible
    before a release and while awards are still to be read, and NotOurs for a folder that holds anything else.
    """
    announced = released(contest)
    if announced is None:
        raise NotPossible(_("the results are not released yet, so there is nothing that may be published"))
    if holds_back(contest):
        raise NotPossible(_("the awards are still to be read from the stage; publish when they have been"))
    folder = folder.absolute()
    if folder.is_symlink() or (folder.exists() and not is_ours(folder, SIGN)):
        raise NotOurs(folder)
    folder.parent.mkdir(parents=True, exist_ok=True)
    made = Path(mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
    try:
        window = told_of_protests(contest)
        site = site_of(announced)
        pages = dict(pages_of(announced, site, window))
        pages |= {
            f"home/{link.token}/index.html": home_file(page)
            for link, page in homes_of(contest, announced, site_of(announced, "../../"), window)
        }
        for name, content in (pages | _files(announced) | _NO_LISTING).items():
            path = made / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        made.chmod(0o755)
        _take_the_place_of(folder, made)
    finally:
        shutil.rmtree(made, ignore_errors=True)
    return len(pages)


def pages_of(announced: Released, site: Site, window: ToldWindow | None = None) -> Iterator[tuple[str, bytes]]:
    """Every page of the results, by its address in `site`. `window` says until when protests are taken."""

    def list_of(standing: Standing | None) -> bytes:
        return _page("public/list.html", list_page(announced, site, standing) | {"window": window})

    for place, standing in enumerate(announced.result.standings):
        page = list_of(standing)
        yield site.list_address(standing.division, standing.code), page
        if place == 0:
            yield site.start, page
    if not announced.result.standings:
        yield site.start, list_of(None)
    for judged in announced.record.classes:
        if judged.official is not None:
            page = _page("public/class.html", class_page(judged, announced.record.rules, site, announced))
            yield site.class_address(judged.number), page


def homes_of(
    contest: Contest, announced: Released, site: Site, window: ToldWindow | None
) -> Iterator[tuple[TakeHomeLink, dict[str, Any]]]:
    """What the page behind each link to take home shows."""
    sheets = Sheets(announced.record, announced.result, announced.unsettled)
    telling = telling_of(contest, announced)
    for link in links_of(contest):
        page = home_page(link, announced, site, window, telling, sheets)
        if page:
            yield link, page


def home_file(page: dict[str, Any]) -> bytes:
    return _page("public/home.html", page)


def site_of(announced: Released, up: str = "") -> Site:
    """The copy's addresses, from a page that lies so far down: files beside each other. Codes may hold any letter, so
    lists are counted.
    """
    names = {
        (standing.division, standing.code): f"list-{place}.html"
        for place, standing in enumerate(announced.result.standings, start=1)
    }
    return Site(
        start=f"{up}index.html",
        list_address=lambda division, code: up + names[division, code],
        class_address=lambda number: f"{up}class-{number}.html",
        styles=tuple(up + style for style in STYLES[:-1]),
        print_style=up + STYLES[-1],
        icon=f"{up}mark.svg",
        downloads=((_("CSV files, zipped"), f"{up}results.zip"), (_("Workbook (.xlsx)"), f"{up}results.xlsx")),
        live=False,
    )


def _page(template: str, context: dict[str, Any]) -> bytes:
    return render_to_string(f"scoring/{template}", context).encode()


def _files(announced: Released) -> dict[str, bytes]:
    """Styles, what they name, and the downloads."""
    files = {
        SIGN: b"A static copy of released results. It is replaced as a whole when they are published again.\n",
        "results.zip": csv_zip(announced.record, announced.result, public=True),
        "results.xlsx": workbook(announced.record, announced.result, public=True),
    }
    return files | style_files()


def style_files() -> dict[str, bytes]:
    """The styles of the public pages and what they name, by where they lie below the folder."""
    files = {"mark.svg": _static("mark.svg")}
    for style in STYLES:
        files[style] = _static(style)
        for named in _NAMED_FILE.findall(files[style].decode()):
            name = (Path(style).parent / named).as_posix()
            while "/../" in name:  # as a browser reads it
                name = re.sub(r"[^/]+/\.\./", "", name, count=1)
            files[name] = _static(name)
    return files


def _static(name: str) -> bytes:
    path = finders.find(name)
    assert path is not None, name
    return Path(path).read_bytes()


def is_ours(folder: Path, sign: str) -> bool:
    """Whether it is an empty folder, or one with the sign that it was written here."""
    return folder.is_dir() and ((folder / sign).is_file() or not any(folder.iterdir()))


def _take_the_place_of(folder: Path, made: Path) -> None:
    """Put the new copy where the old one is, so that no reader finds neither; the old one is gone afterwards.

    Where the system cannot exchange two folders in one step, it takes two, and for a moment there is none; what was
    there comes back if the second fails.
    """
    if not folder.exists():
        made.rename(folder)
        return
    if _exchanged(folder, made):
        return
    old = Path(mkdtemp(prefix=f".{folder.name}-old-", dir=folder.parent))
    folder.rename(old / folder.name)
    try:
        made.rename(folder)
    except OSError:
        (old / folder.name).rename(folder)
        raise
    finally:
        shutil.rmtree(old, ignore_errors=True)


def _exchanged(first: Path, other: Path) -> bool:
    """Exchange two folders in one step; False where that is not possible. Linux alone has a call for it, which Python
    does not offer."""
    if sys.platform != "linux":
        return False
    here, exchange = -100, 2  # AT_FDCWD, RENAME_EXCHANGE
    call = getattr(ctypes.CDLL(None), "renameat2", None)
    return call is not None and call(here, os.fsencode(first), here, os.fsencode(other), exchange) == 0

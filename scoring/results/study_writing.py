"""Contests looked back on, as pages in a folder, with their pictures and figures: no server, no database."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string

from scoring.core.record import Record
from scoring.core.study import study
from scoring.core.tally import tally
from scoring.results.public import Site
from scoring.results.publishing import STYLES, NotOurs, is_ours, style_files
from scoring.results.study_pages import study_files, study_page

SIGN = "studied-by-tanbark.txt"
"""What a folder that we made holds: nothing is written over in another one."""


def write_study(records: Sequence[Record], folder: Path) -> None:
    """Write what there is to say of each contest into `folder`, and a page that leads to them where they are several.

    Raises NotOurs for a folder that holds anything else, and OSError where nothing can be written.
    """
    if folder.exists() and not is_ours(folder, SIGN):
        raise NotOurs(folder)
    several = len(records) > 1
    files: dict[str, bytes] = {SIGN: b"Contests looked back on. Written anew when they are studied again.\n"}
    files |= style_files()
    lines = []
    for place, record in enumerate(records, start=1):
        below = f"contest-{place}/" if several else ""
        made = study(record, tally(record))
        page = study_page(record, made)
        files[f"{below}index.html"] = _page(
            "written", page | {"site": _site("../" if several else ""), "several": several}
        )
        files |= {f"{below}{name}": content for name, content in study_files(made).items()}
        lines.append({"address": f"{below}index.html", "name": record.rules.name, "rows": page["reliabilities"]})
    if several:
        files["index.html"] = _page("contests", {"contests": lines, "site": _site("")})
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


def _site(up: str) -> Site:
    return Site(
        start="index.html",
        list_address=lambda division, code: "",
        class_address=lambda number: "",
        styles=tuple(up + style for style in STYLES[:-1]),
        print_style=up + STYLES[-1],
        icon=f"{up}mark.svg",
        live=False,
    )


def _page(name: str, context: dict[str, Any]) -> bytes:
    return render_to_string(f"scoring/study/{name}.html", context).encode()

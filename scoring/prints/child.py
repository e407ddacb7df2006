"""The process that makes one document: told what to make on its input, it says on its output how far it is. When its
input ends, so does it: whoever started it is gone.

Run as `python -m scoring.prints.child`, by `scoring.prints.jobs` alone.
"""

import io
import json
import os
import sys
import threading
import time
from pathlib import Path
from typing import Any

from contest.background import NICE, end_with_the_server, step_back
from scoring.core.texts import gettext_noop

SAY_EVERY = 0.3  # seconds
PICTURE_SECONDS = 10  # of the processor
LOOK_NICE = 3  # somebody waits for a few pages
PICTURE_SCALE = 1.5  # dots a point
TOO_LONG = gettext_noop(
    "The picture takes too long to draw. Under “Ribbons and picture”, take it away or bring it as PNG."
)


def main() -> None:
    order = json.loads(sys.stdin.readline())
    step_back(LOOK_NICE if "look" in order else NICE)
    end_with_the_server()

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")
    from contest import settings

    settings.DATABASES["default"]["NAME"] = order["database"]
    settings.DATA_FOLDER = Path(order["data_folder"])

    import django
    from django.utils import translation

    django.setup()
    translation.activate(order["choice"].get("language") or settings.LANGUAGE_CODE)
    try:
        make(order)
    except Exception as problem:
        say(problem=explain(problem))
        sys.exit(1)


def explain(problem: Exception) -> str:
    from contest.uploads.pictures import NotAPicture
    from scoring.prints.choice import WrongChoice, as_sentence
    from scoring.prints.folders import not_written
    from scoring.prints.rendering import CannotRender

    if isinstance(problem, OSError):
        return not_written(problem)
    if isinstance(problem, WrongChoice | CannotRender | NotAPicture):
        return as_sentence(problem)
    return f"{type(problem).__name__}: {problem}"[:300]


def make(order: dict[str, Any]) -> None:
    from scoring.prints.catalogue import DOCUMENTS
    from scoring.prints.choice import choice_from
    from scoring.prints.gathering import gather_material
    from scoring.prints.rendering import first_sheets, html_of, render_pdf

    document, choice = DOCUMENTS[order["document"]], choice_from(order["choice"])
    material = gather_material(order["contest"], document, choice.address)
    try_picture(material.picture)
    html, pages, said = html_of(document, material, choice)
    say(revision=material.revision, total=pages)
    last = time.monotonic()

    def progress(page: int, of: int) -> None:
        nonlocal last
        if of or time.monotonic() - last >= SAY_EVERY:
            last = time.monotonic()
            say(done=page, total=of or max(page + 1, pages))

    look = order.get("look", 0)
    if look:
        html, is_cut = first_sheets(html, look, pages)
    copies = 1 if look else choice.copies
    picture, only = material.picture, [html]
    del material, html  # they are large, and a long document needs room
    pdf = render_pdf(only.pop(), copies, picture, progress, pages, lambda percent: say(prepared=percent))
    out = Path(order["out"])
    put_in_place(out, pdf)
    if look:
        draw_pages(out, look, pages if is_cut else 0)
    else:
        say(said=said)


def put_in_place(path: Path, made: bytes) -> None:
    """A file that is there is a file that is finished."""
    half = path.with_suffix(".half")
    half.write_bytes(made)
    half.replace(path)


def draw_pages(path: Path, most: int, about: int) -> None:
    """Draw the first pages of a PDF beside it, and say how many it has; `about` so many, where it is but the first of
    them."""
    from pypdfium2 import PdfDocument

    pages = PdfDocument(path)
    say(total=about or len(pages), about=bool(about))
    for number in range(1, min(most, len(pages)) + 1):
        picture = io.BytesIO()
        pages[number - 1].render(scale=PICTURE_SCALE).to_pil().save(picture, "PNG")
        put_in_place(path.with_name(f"{number}.png"), picture.getvalue())
        say(drawn=number)


def try_picture(picture: Path | None) -> None:
    """Draw the contest's picture once by itself, and end with a word where that takes too long: one that was kept by
    an earlier version may be made to hang whoever draws it, and others wait behind this job."""
    from contest.uploads.pictures import draw

    if picture is None or picture.suffix != ".svg":
        return
    until = time.process_time() + PICTURE_SECONDS
    drawn = threading.Event()

    def watch() -> None:
        while not drawn.wait(0.2):
            if time.process_time() > until:
                say(problem=TOO_LONG)
                os._exit(1)

    threading.Thread(target=watch, daemon=True).start()
    try:
        draw(picture.read_bytes())
    finally:
        drawn.set()


def say(**facts: object) -> None:
    print(json.dumps(facts), flush=True)


if __name__ == "__main__":
    main()

"""Documents as HTML, and HTML as PDF.

WeasyPrint is only ever used in a process of its own, or by the command: within the server it would hold up everything
else for seconds. The HTML is the same as what a browser prints where WeasyPrint cannot be had.
"""

from __future__ import annotations

import gc
import json
import logging
import os
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple
from urllib.request import url2pathname

from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import get_language_bidi, gettext_noop
from django.utils.translation import gettext as _

from contest.bootstrap.needs import PRINTS
from contest.trail.hashing import short
from contest.web.square_codes import svg_of
from scoring.core.explain import listed
from scoring.prints.choice import PAPERS, Choice, WrongChoice
from scoring.prints.choosing import with_members
from scoring.prints.document import Document
from scoring.prints.fields import with_pictures
from scoring.prints.fonts import leave_out, undrawn, with_names_for_paper
from scoring.prints.material import Material
from scoring.prints.reading_order import in_reading_order

if TYPE_CHECKING:
    from scoring.prints.imposing import Imposition

Progress = Callable[[int, int], None]
"""Told the number of a page that is laid out, and how many there are: 0 until all of them are."""

Prepared = Callable[[int], None]
"""Told, before the first page of a long document, how many hundredths are laid out of what its pages share."""

FACES = {
    "faces-extended": re.compile("[\u0100-\u0130\u0132-\u0151\u0154-\u02ba\u1d00-\u1eff\u20a0-\u20c0\u2c60-\u2c7f]"),
    "faces-more": re.compile("[\u0300-\u036f\u0370-\u1cff\u1ea0-\u1ef1\ufb1d-\ufdff\ufe70-\ufeff]"),
}
VARIANT = "pdf/ua-1"
NEW_PAGE = "<!-- a new page -->"
"""Stands in a template where a new page begins whatever came before."""
PART = 500_000
"""About as many characters of HTML are laid out at once: some hundreds of megabytes of memory."""
PAGE_NUMBERS = gettext_noop("Page {page} of {all}")
_NUMBER = re.compile(r"(\{page\}|\{all\})")
_LINK = re.compile(r'<link rel="stylesheet" href="([^"]*)">\n')
_PAGE = re.compile(r"Creating layout - Page (\d+)")

# So that fonts carry no time of day, and the same document is the same bytes.
os.environ.setdefault("SOURCE_DATE_EPOCH", "0")


class CannotRender(Exception):
    """Raised where WeasyPrint is not to be had, in words for whoever wants a PDF."""


class Made(NamedTuple):
    """A document as HTML, about how many pages it has, and what its sheets say (`scoring.prints.changed`)."""

    html: str
    pages: int
    said: dict[str, str]


def html_of(
    document: Document,
    material: Material,
    choice: Choice,
    for_browser: bool = False,
    cut: str = "",
    as_named: bool = False,
) -> Made:
    """A document as HTML.

    It has addresses of this site for a browser, and those of files for WeasyPrint. `cut` says what part of it this is,
    where a browser is not shown all. A browser has fonts of its own; elsewhere what no font can draw is left out,
    unless all is to be `as_named`.

    Raises WrongChoice.
    """
    _check(material, choice)
    choice = with_members(material, choice)
    as_named = as_named or for_browser
    if not as_named:
        material = replace(material, record=with_names_for_paper(material.record))
    context = document.build(material, choice)
    said = context.pop("said", {})
    if choice.changed and not said and material.printed:
        raise WrongChoice(_("nothing on it has changed since a file of it was made last"))
    picture = material.picture and (
        reverse("print-picture", args=[material.contest_pk]) if for_browser else material.picture.as_uri()
    )
    public = material.public if material.released is not None else ""
    rendered: str = render_to_string(
        document.template,
        {
            "document": document,
            "title": document.title,
            "rules": material.record.rules,
            "revision": material.revision,
            "as_of": material.as_of,
            "trail": material.trail_head,
            "trail_on_paper": short(material.trail_head),
            "corrected": material.corrected,
            "unreleased": document.when == "after" and material.released is None,
            "public": public,
            "public_code": public and svg_of(public),
            "created": material.as_of and material.as_of.isoformat(timespec="seconds"),
            "paper": choice.paper,
            "paper_name": PAPERS[choice.paper],
            "picture": picture,
            "for_browser": for_browser,
            "cut": cut,
            **context,
        },
    )
    if not as_named:
        rendered = leave_out(rendered, undrawn(rendered))
    if for_browser:
        rendered = with_pictures(rendered)
    made = with_styles(rendered, context.get("paper", choice.paper), document.styles, for_browser)
    return Made(made, context["pages"], said)


def with_styles(rendered: str, paper: str, styles: Iterable[str], for_browser: bool = False) -> str:
    """A rendered page with the style sheets that it needs, for a browser or for WeasyPrint."""
    # Each font takes a moment to read.
    more = [name for name, letters in FACES.items() if letters.search(rendered)]
    if 'class="head"' in rendered:
        more += ["running", "running-rtl"] if get_language_bidi() else ["running"]
        more += ["by-browser"] if for_browser else []
    names = ["faces", *more, "sheet", f"paper-{paper}", *styles]
    sheets = ["css/tokens.css", *(f"css/prints/{name}.css" for name in names)]
    links = "".join(f'<link rel="stylesheet" href="{_style(path, for_browser)}">\n' for path in sheets)
    if "running" in names and not for_browser:
        links += _page_numbers()
    return rendered.replace("<!-- styles -->", links, 1)


def _page_numbers() -> str:
    """The style that has the foot of a page number it in words; the sheet itself does in English."""
    words = _(PAGE_NUMBERS)
    if words == PAGE_NUMBERS:
        return ""
    counters = {"{page}": "counter(page)", "{all}": "var(--of, counter(pages))"}
    parts = [counters.get(part) or json.dumps(part, ensure_ascii=False) for part in _NUMBER.split(words) if part]
    side = "left" if get_language_bidi() else "right"
    return f"<style>@page {{ @bottom-{side} {{ content: {' '.join(parts)}; }} }}</style>\n"


def _check(material: Material, choice: Choice) -> None:
    numbers = {person.number for person in material.record.contestants}
    classes = {judged.number for judged in material.record.classes}
    if unknown := set(choice.numbers) - numbers:
        raise WrongChoice(_("nobody has number {number}").format(number=min(unknown)))
    if unknown := set(choice.classes) - classes:
        known = listed([str(number) for number in sorted(classes)]) or _("none")
        words = _("there is no class {number}; this contest has {others}")
        raise WrongChoice(words.format(number=min(unknown), others=known))


def _style(path: str, for_browser: bool) -> str:
    if for_browser:
        return static(path)
    return _static_file(path).as_uri()


def _static_file(path: str) -> Path:
    there = finders.find(path)
    assert there is not None, path
    return Path(there)


def render_pdf(
    html: str,
    copies: int = 1,
    picture: Path | None = None,
    progress: Progress = lambda page, of: None,
    pages: int = 0,
    prepared: Prepared = lambda percent: None,
) -> bytes:
    """The HTML as a tagged PDF: the same HTML gives the same bytes. Raises CannotRender.

    Nothing is fetched but what the HTML carries, the static files, and the `picture`. `pages` is about how many there
    will be.
    """
    try:
        from weasyprint import CSS, HTML
        from weasyprint.text.fonts import FontConfiguration
        from weasyprint.urls import FatalURLFetchingError, URLFetcher
    except OSError:  # the Python part is there, Pango is not
        lacking = ", ".join(package.name for package in PRINTS if not package.present())
        if lacking:
            raise CannotRender(
                _("the PDF library lacks {packages} (Debian's names)").format(packages=lacking)
            ) from None
        raise CannotRender(_("the PDF library lacks a system library (Debian's names)")) from None
    except ImportError as error:
        raise CannotRender(_("the PDF library is not installed: {error}").format(error=error)) from None

    from scoring.prints.composing import composition
    from scoring.prints.imposing import impositions

    static_folder = _static_file("css/prints/sheet.css").parents[2]

    class OwnFiles(URLFetcher):  # type: ignore[misc]  # WeasyPrint says nothing of its types
        def fetch(self, url: str, headers: Any = None) -> Any:
            if not url.startswith("data:"):
                path = Path(url2pathname(url.removeprefix("file://"))) if url.startswith("file://") else None
                if path is None or (path != picture and static_folder not in path.parents):
                    raise FatalURLFetchingError(f"{url} is no file of this document")
            return super().fetch(url, headers)

    fonts = FontConfiguration()
    head, *sheets = html.split(NEW_PAGE)
    del html  # of the longest document it is a hundred megabytes
    # Read once, however often something is laid out; what stands in the HTML itself goes before them, as it does there.
    with _told(lambda page, of: None):
        styles = [CSS(url=url, url_fetcher=OwnFiles(), font_config=fonts) for url in _LINK.findall(head)]
    head = _LINK.sub("", head)

    def laid_out(text: str) -> Any:
        page = HTML(string=text, url_fetcher=OwnFiles())
        return page.render(font_config=fonts, stylesheets=styles, pdf_variant=VARIANT)

    def lay_out(text: str, before: int, of: int) -> Any:
        return laid_out(_numbered(text, before, of))

    with _not_collected(), _pages_named_once(), in_reading_order():
        if made_of := impositions(head, sheets):
            return _imposed(made_of, laid_out, copies, progress)
        if composed := composition(head, sheets, lambda text: lay_out(text, 0, 0), _page_words):
            del sheets
            with _told(lambda page, of: None):
                return composed.written(VARIANT, copies, progress, prepared)
        first, *more = _in_parts(with_pictures(NEW_PAGE.join([head, *sheets])))
        if more:
            return _part_by_part([first, *more], lay_out, copies, pages, progress)
        with _told(progress):
            document = laid_out(first)
        progress(len(document.pages), len(document.pages))
        if copies > 1:
            document = document.copy(document.pages * copies)
        pdf: bytes = document.write_pdf(pdf_variant=VARIANT)
        return pdf


def first_sheets(html: str, most: int, pages: int) -> tuple[str, bool]:
    """The first sheets of a document that is made of sheets, numbered as those of the whole, and whether that leaves
    any out. What flows from page to page stays whole: where a page ends shows only when all before it is laid out.
    """
    head, *sheets = html.split(NEW_PAGE)
    if len(sheets) <= most:
        return html, False
    numbered = head.replace("</head>", f'<style>:root {{--of: "{pages}"}}</style></head>', 1)
    return NEW_PAGE.join([numbered, *sheets[:most]]), True


def _in_parts(html: str) -> list[str]:
    """A long document as several that begin on new pages, each with the head of the whole."""
    head, *sheets = html.split(NEW_PAGE)
    parts, size = [head], 0
    for sheet in sheets:
        if size > PART:
            parts.append(head)
            size = 0
        parts[-1] += sheet
        size += len(sheet)
    return parts


def _numbered(html: str, before: int, of: int) -> str:
    """HTML whose pages are numbered after those `before`, and say how many there are in all."""
    style = f'<style>@page:first {{counter-reset: page {before + 1}}} :root {{--of: "{of}"}}</style></head>'
    return html.replace("</head>", style, 1)


def _page_words(page: int, of: int) -> str:
    """What the foot of a page says."""
    return _(PAGE_NUMBERS).format(page=page, all=of)


def _part_by_part(
    parts: list[Any], laid_out: Callable[[Any, int, int], Any], copies: int, pages: int, progress: Progress
) -> bytes:
    """A PDF of parts that are laid out and painted one after another: each after so many pages, of so many in all.

    Every page says how many there are. Where that turns out to be another number than `pages`, all is done again.
    """
    from scoring.prints.one_file import painted, parts_on_disk, put_together

    before, written = 0, b""
    with parts_on_disk() as made:
        for part in parts:
            with _told(progress, before):
                document = laid_out(part, before, pages)
            before += len(document.pages)
            is_last = made.count == len(parts) - 1
            if is_last and before != pages:
                return _part_by_part(parts, laid_out, copies, before, progress)
            progress(before, before if is_last else 0)

            def finish(_: Any, pdf: Any, is_last: bool = is_last) -> None:
                nonlocal written
                made.add(painted(pdf))
                if is_last:
                    written = put_together(pdf, made, copies)

            document.write_pdf(finisher=finish, pdf_variant=VARIANT)
            del document
            gc.collect()
    return written


def _imposed(made_of: list[Imposition], laid_out: Callable[[str], Any], copies: int, progress: Progress) -> bytes:
    """A PDF of sheets that are cut, some after others."""
    from scoring.prints.imposing import imposed
    from scoring.prints.one_file import parts_on_disk, put_together

    count, written = 0, b""
    with parts_on_disk() as made:
        for some in made_of:
            with _told(lambda page, of: None):
                document = laid_out(some.html)
            count += len(some.sheets)
            progress(count, count if some is made_of[-1] else 0)

            def finish(document: Any, pdf: Any, some: Imposition = some) -> None:
                nonlocal written
                made.add(imposed(pdf, document, some))
                if some is made_of[-1]:
                    written = put_together(pdf, made, copies)

            document.write_pdf(finisher=finish, pdf_variant=VARIANT)
            del document
            gc.collect()
    return written


@contextmanager
def _not_collected() -> Iterator[None]:
    """A document is hundreds of thousands of objects that live until it is written: looking through them again and
    again for garbage takes a third of the time, and finds none to speak of.
    """
    gc.disable()
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()
        gc.enable()


@contextmanager
def _pages_named_once() -> Iterator[None]:
    """For each box that is tagged, pydyf makes the references to all pages anew; here they are made once a page."""
    import pydyf

    before = pydyf.PDF.page_references

    def page_references(pdf: pydyf.PDF) -> tuple[bytes, ...]:
        known: tuple[bytes, ...] = pdf.__dict__.get("known_references", ())
        if len(known) != pdf.pages["Count"]:
            known = pdf.__dict__["known_references"] = before.fget(pdf)
        return known

    pydyf.PDF.page_references = property(page_references)
    try:
        yield
    finally:
        pydyf.PDF.page_references = before


@contextmanager
def _told(progress: Progress, before: int = 0) -> Iterator[None]:
    """Passes on the pages that WeasyPrint says it lays out, after so many others, and keeps its remarks about styles to
    itself."""
    remarks, steps = logging.getLogger("weasyprint"), logging.getLogger("weasyprint.progress")
    handler = logging.Handler()

    def heard(record: logging.LogRecord) -> None:
        match = _PAGE.search(record.getMessage())
        if match:
            progress(before + int(match.group(1)), 0)

    handler.emit = heard  # type: ignore[method-assign]  # a handler that does this alone
    were = remarks.level, steps.level, steps.propagate
    remarks.setLevel(logging.ERROR)
    steps.setLevel(logging.INFO)
    steps.propagate = False
    steps.addHandler(handler)
    try:
        yield
    finally:
        steps.removeHandler(handler)
        remarks.setLevel(were[0])
        steps.setLevel(were[1])
        steps.propagate = were[2]

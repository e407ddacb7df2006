"""Finds every marked text, and keeps the files of the translators and those that Tanbark reads."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from babel.messages import Catalog, Message
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).resolve().parent.parent.parent
LOCALE = ROOT / "contest" / "locale"
DOMAINS = ("django", "djangojs")
KEYWORDS = {
    "_": None,
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "ngettext_noop": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
    "npgettext_lazy": ((1, "c"), 2, 3),
}
PLURALS = {"es": (2, "(n != 1)")}
"""How many forms a number asks for; Spanish has a third for whole millions, which no contest comes to."""

WRITTEN = datetime(2026, 11, 28, tzinfo=UTC)
HEADER = """# Tanbark, in other words than English.
# Made from memory, with the trade's terms where they are known: to be read by a native stockman.
#"""


def found(domain: str) -> Catalog:
    """Every text that is marked: of Python and templates, or of scripts."""
    catalog = Catalog(project="Tanbark", charset="utf-8")
    for path, source, method in _sources(domain):
        name = path.relative_to(ROOT).as_posix()
        for line, message, comments, context in extract(
            method, io.BytesIO(source.encode()), KEYWORDS, ["Translators:"]
        ):
            if not message:
                raise ValueError(f"{name}:{line}: an empty text is marked")
            catalog.add(message, locations=[(name, line)], auto_comments=comments, context=context)
    return catalog


def _sources(domain: str) -> Iterator[tuple[Path, str, str]]:
    if domain == "djangojs":
        for path in sorted((ROOT / "static" / "js").rglob("*.js")):
            yield path, path.read_text(encoding="utf-8"), "javascript"
        return
    from django.utils.translation.template import templatize

    for app in ("contest", "reasons", "scoring"):
        for path in sorted((ROOT / app).rglob("*.py")):
            if "migrations" not in path.parts:
                yield path, path.read_text(encoding="utf-8"), "python"
    for path in sorted((ROOT / "templates").rglob("*.html")):
        # Django makes Python of it, but indented as the template is, which no Python may be.
        yield path, re.sub(r"(?m)^\s+", "", templatize(path.read_text(encoding="utf-8"))), "python"


def po_file(language: str, domain: str) -> Path:
    return LOCALE / language / "LC_MESSAGES" / f"{domain}.po"


def read(language: str, domain: str) -> Catalog:
    path = po_file(language, domain)
    if not path.exists():
        return new(language)
    with path.open("rb") as file:
        return read_po(file, locale=language, domain=domain)


def new(language: str | None) -> Catalog:
    """An empty catalog; None for a language that is made up, with two forms for numbers."""
    catalog = Catalog(
        locale=language,
        header_comment=HEADER,
        project="Tanbark",
        version="1",
        msgid_bugs_address="none",
        last_translator="none",
        language_team="none",
        creation_date=WRITTEN,
        revision_date=WRITTEN,
        charset="utf-8",
        fuzzy=False,
    )
    catalog._num_plurals, catalog._plural_expr = PLURALS.get(language or "", (2, "(n != 1)"))
    return catalog


def brought_up_to_date(language: str, domain: str, others: Catalog | None = None) -> Catalog:
    """A language's catalog with the texts that there are now; new ones are empty, or as `others` has them."""
    old = read(language, domain)
    catalog = new(language)
    for message in found(domain):
        if message.id:
            catalog.add(
                message.id,
                _translation(message, others, old),
                locations=[(name, None) for name in dict.fromkeys(name for name, _ in message.locations)],
                auto_comments=message.auto_comments,
                context=message.context,
            )
    return catalog


def _translation(message: Message, *catalogs: Catalog | None) -> str | tuple[str, ...]:
    for catalog in catalogs:
        known = catalog.get(message.id, message.context) if catalog else None
        if known and is_translated(known) and isinstance(known.string, str) == isinstance(message.id, str):
            return known.string
    return "" if isinstance(message.id, str) else ("", "")


def is_translated(message: Message) -> bool:
    texts = [message.string] if isinstance(message.string, str) else message.string
    return bool(texts) and all(texts)


def write(catalog: Catalog, language: str, domain: str) -> None:
    path = po_file(language, domain)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(po_bytes(catalog))
    path.with_suffix(".mo").write_bytes(mo_bytes(catalog))


def po_bytes(catalog: Catalog) -> bytes:
    out = io.BytesIO()
    write_po(out, catalog, width=110, sort_by_file=True, include_lineno=False, omit_header=False)
    return out.getvalue()


def mo_bytes(catalog: Catalog) -> bytes:
    out = io.BytesIO()
    write_mo(out, catalog)
    return out.getvalue()

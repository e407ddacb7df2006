"""A language made up for tests: every marked text in brackets, accented, and 1.4 times as long.

What stands outside of the brackets on a page is not marked, or is what somebody typed. `xx` runs from left to right,
`xr` the other way. Numbers have a comma.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import django.conf.locale
from django.test import override_settings
from django.utils import formats

from contest.language import catalogs as known
from tests.texts.catalogs import DOMAINS, found, mo_bytes, new

LEFT_TO_RIGHT, RIGHT_TO_LEFT = "xx", "xr"
OPEN, CLOSE = "⟦", "⟧"
LONGER = 1.4
KEPT = re.compile(r"%\([a-z_]+\)[sd]|%[sd%]|\{[^{}]*\}|<[^<>]+>|&#?\w+;")
"""Places for values, tags and entities: they stay as they are."""
DATE = re.compile(r"(?:\W*\b[A-Za-z]\b\W*)+")
"""A format of dates, such as `F j, Y`: letters that stand alone."""
ACCENTED = str.maketrans("aceginosuyACEGINOSUY", "àçéğîñöšûýÀÇÉĞÎÑÖŠÛÝ")


def said(text: str) -> str:
    """A text in the made-up language."""
    if DATE.fullmatch(text):
        return text
    places = KEPT.findall(text)
    words = [part.translate(ACCENTED) for part in KEPT.split(text)]
    letters = sum(map(len, words))
    whole = "".join(word + place for word, place in zip(words, [*places, ""], strict=True))
    return f"{OPEN}{whole}{' ~~~' * round(letters * (LONGER - 1) / 4)}{CLOSE}"


def write(folder: Path) -> None:
    """Write the made-up language's files, as Django reads them."""
    for domain in DOMAINS:
        catalog = new(None)
        for message in found(domain):
            if message.id:
                text = said(message.id) if isinstance(message.id, str) else tuple(map(said, message.id))
                catalog.add(message.id, text, context=message.context)
        for language in (LEFT_TO_RIGHT, RIGHT_TO_LEFT):
            path = folder / language / "LC_MESSAGES" / f"{domain}.mo"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(mo_bytes(catalog))


@contextmanager
def spoken(folder: Path) -> Iterator[None]:
    """Have the made-up languages beside English, from files that `write` wrote."""
    languages = [("en", "English"), (LEFT_TO_RIGHT, "Xx"), (RIGHT_TO_LEFT, "Xr")]
    ours = {
        code: {"bidi": code == RIGHT_TO_LEFT, "code": code, "name": name, "name_local": name}
        for code, name in languages[1:]
    }
    django.conf.locale.LANG_INFO.update(ours)
    try:
        with override_settings(LANGUAGES=languages, LANGUAGES_BIDI=[RIGHT_TO_LEFT], LOCALE_PATHS=[folder]):
            formats._format_cache.update({("DECIMAL_SEPARATOR", code): "," for code in ours})
            yield
    finally:
        formats.reset_format_cache()
        known._version.cache_clear()
        for code in ours:
            del django.conf.locale.LANG_INFO[code]

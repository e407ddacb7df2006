"""What can be written on paper: the letters of the fonts that come along, and of those that are installed.

A browser has fonts of its own; only what is made into a PDF looks here.
"""

from __future__ import annotations

import re
import subprocess
import unicodedata
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path

from django.contrib.staticfiles import finders

from scoring.core.record import Contestant, Record

LEFT_OUT = "…"
"""Stands for letters that no font has."""
CJK, EMOJI, OTHERS = "fonts-noto-cjk", "fonts-noto-color-emoji", "fonts-noto-core"
PACKAGES = (
    (CJK, re.compile("[\u1100-\u11ff\u2e80-\ua4cf\ua960-\ua97f\uac00-\ud7ff\uf900-\ufaff\ufe30-\ufe4f\uff00-\uffef]")),
    (CJK, re.compile("[\U00020000-\U0003ffff]")),
    (EMOJI, re.compile("[\U0001f000-\U0001faff]")),
)
_ALWAYS_THERE = re.compile("[\u0000-\u00ff\u0100-\u0130\u0132-\u0148\u014a-\u017e]+")
_DRAWS_NOTHING = {"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp", "Zs"}


def undrawn(text: str) -> frozenset[str]:
    """The letters of a text that no font here can draw; none where it cannot be known what is installed."""
    letters = set(_ALWAYS_THERE.sub("", unicodedata.normalize("NFC", text)))
    letters = {letter for letter in letters if not _is_silent(letter)}
    missing = {letter for letter in letters if ord(letter) not in _shipped()} if letters else letters
    return frozenset(missing - _installed(missing) if missing else missing)


def leave_out(text: str, letters: frozenset[str]) -> str:
    """A text without letters that cannot be drawn; a mark stands where some were."""
    if not letters:
        return text
    these = re.escape("".join(sorted(letters)))
    return re.sub(rf"[{these}](?:[{these}\s]*[{these}])?", LEFT_OUT, unicodedata.normalize("NFC", text))


def with_names_for_paper(record: Record) -> Record:
    """The record with contestants' names as they can be drawn. Where nothing of a name can be, only the mark stands
    there: see `words.name_or_number`."""
    letters = undrawn("".join(person.first_name + person.last_name for person in record.contestants))
    if not letters:
        return record

    def drawn(person: Contestant) -> Contestant:
        first, last = leave_out(person.first_name, letters), leave_out(person.last_name, letters)
        if {first, last} == {LEFT_OUT}:
            last = ""
        return person._replace(first_name=first, last_name=last)

    return replace(record, contestants=tuple(map(drawn, record.contestants)))


def packages_for(letters: Iterable[str]) -> list[str]:
    """The packages of fonts that have these letters, by Debian's names."""
    return sorted({next((name for name, of in PACKAGES if of.match(letter)), OTHERS) for letter in letters})


def _is_silent(letter: str) -> bool:
    """Whether a letter only says something of those beside it."""
    return unicodedata.category(letter) in _DRAWS_NOTHING or "\ufe00" <= letter <= "\ufe0f"


@cache
def _shipped() -> frozenset[int]:
    from fontTools.ttLib import TTFont

    folder = finders.find("fonts/paper")
    assert folder is not None
    codes: set[int] = set()
    for path in Path(folder).glob("*.ttf"):
        with TTFont(path, lazy=True) as font:
            codes.update(font.getBestCmap())
    return frozenset(codes)


def _installed(letters: set[str]) -> set[str]:
    """Those of the letters that an installed font has. Asked each time: somebody may install one meanwhile."""
    try:
        listed = subprocess.run(
            ["fc-list", "--format", "%{charset} "], capture_output=True, encoding="utf-8", timeout=20
        )
    except (OSError, subprocess.TimeoutExpired):
        return letters
    ranges = [(int(first, 16), int(last or first, 16)) for first, last in _ranges(listed.stdout)]
    return {letter for letter in letters if any(first <= ord(letter) <= last for first, last in ranges)}


def _ranges(listed: str) -> set[tuple[str, str]]:
    return {(first, last) for first, _dash, last in (piece.partition("-") for piece in listed.split())}

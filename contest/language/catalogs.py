"""Where the translated texts lie, and which version of them a language has."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

from django.conf import settings
from django.utils.translation import to_locale

LOCALE = Path(__file__).resolve().parent.parent / "locale"


def folders() -> tuple[Path, ...]:
    return (*map(Path, settings.LOCALE_PATHS), LOCALE)


def texts_of(code: str) -> list[str]:
    """The files of translated texts of a language, for a process without Django; those that come first go first."""
    files = [folder / name / "LC_MESSAGES" / "django.mo" for folder in folders() for name in _names(code)]
    return [str(file) for file in files if file.exists()]


def _names(code: str) -> list[str]:
    """The folders of a language within those of all: its own and that of the language it is a kind of."""
    locale = to_locale(code)
    return list(dict.fromkeys((locale, locale.partition("_")[0])))


def version_of(code: str) -> str:
    """A short digest of the texts that scripts say in a language: what browsers keep is known by it."""
    return _version(code, folders())


@cache
def _version(code: str, looked_in: tuple[Path, ...]) -> str:
    digest = hashlib.sha256()
    for folder in looked_in:
        for name in _names(code):
            file = folder / name / "LC_MESSAGES" / "djangojs.mo"
            digest.update(file.read_bytes() if file.exists() else b"-")
    return digest.hexdigest()[:12]

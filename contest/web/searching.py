"""Text as it is searched."""

from __future__ import annotations

import unicodedata


def plain(text: str) -> str:
    """Text as it is searched: without accents and capitals, so that whoever types "otztal" finds Ötztal."""
    parts = unicodedata.normalize("NFKD", text)
    return "".join(sign for sign in parts if not unicodedata.combining(sign)).casefold()

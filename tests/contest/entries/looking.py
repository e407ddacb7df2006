"""Looking at pages about entries."""

import re
from html import unescape


def base(contest) -> str:
    return f"/contests/{contest.pk}/entries/"


def text(response) -> str:
    """What the page says, without its marks."""
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())))


def hidden(response, name) -> str:
    """What a hidden field of the page holds."""
    return unescape(re.search(rf'name="{name}" value="([^"]*)"', response.content.decode())[1])

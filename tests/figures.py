"""Looking for figures in a whole page, where tokens and ids may hold any digits."""

import re


def stands_in(text, figure):
    """Whether a figure stands in a text by itself, not as part of a token, an id or a longer number."""
    return re.search(rf"(?<![\w-]){re.escape(figure)}(?![\w-])", text) is not None

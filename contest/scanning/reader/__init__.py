"""Reading placing and keep/cull cards off pictures: pure, from pixels to what a card says and how sure that is.

Nothing here knows the database, Django or a network. `identity.py` says whose a card is, `layout.py` where everything
lies on it, `found.py` what is told of one, `pages.py` makes pictures of files, and `reading.read_page` reads one. That
is not named here, as it loads numpy, which only the child process that reads needs.
"""

from contest.scanning.reader.found import FoundCard, Trouble
from contest.scanning.reader.identity import Identity, Refused, can_be_written, identify, written
from contest.scanning.reader.pages import CannotOpen, page_count, pages_of

__all__ = [
    "CannotOpen",
    "FoundCard",
    "Identity",
    "Refused",
    "Trouble",
    "can_be_written",
    "identify",
    "page_count",
    "pages_of",
    "written",
]

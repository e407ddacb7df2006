"""Reading placing and keep/cull cards and answer sheets off pictures: pure, from pixels to what one says and how sure
that is.

Nothing here knows the database, Django or a network. `identity.py` says whose a card is, `layout.py` where everything
lies on it, `found.py` what is told of one, `pages.py` makes pictures of files, and `reading.read_page` reads one. That
is not named here, as it loads numpy, which only the child process that reads needs.
"""

from contest.scanning.reader.found import OPEN, FoundCard, Trouble
from contest.scanning.reader.identity import ANSWERS, OF_A_PART, Identity, Refused, can_be_written, identify, written
from contest.scanning.reader.pages import CannotOpen, page_count, pages_of

__all__ = [
    "ANSWERS",
    "OF_A_PART",
    "OPEN",
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

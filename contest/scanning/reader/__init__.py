"""Reading placing cards off pictures: pure, from pixels to what a card says and how sure that is.

Nothing here knows the database, Django or a network. `identity.py` says whose a card is, `layout.py` where everything
lies on it, `found.py` what is told of one, `pages.py` makes pictures of files, `reading.py` reads a picture, and
`rehearsal.py` says what a page of test cards showed.
"""

from contest.scanning.reader.found import FoundCard, Trouble
from contest.scanning.reader.identity import Identity, Refused, can_be_written, identify, written

__all__ = ["FoundCard", "Identity", "Refused", "Trouble", "can_be_written", "identify", "written"]

"""Cards as the reading process would tell of them, without any page."""

from contest.models import Scan
from contest.scanning.taking import Seen, take_page
from contest.scanning.whose import identity_of

PICTURE = b"\xff\xd8\xff\xe0 a picture"


def seen(contest, number, placing="3124", judged=1, troubles=(), **more):
    """A card of a contestant that nothing is the matter with, unless `troubles` says what is."""
    identity = more.pop("identity", identity_of(contest, judged, number))
    facts = {"number_marked": "", "certain": not troubles, "confidence": 0.9 if not troubles else 0.3}
    return Seen(identity=identity, placing=placing, troubles=tuple(troubles), picture=PICTURE, **facts | more)


def a_scan(contest, digest="ab" * 32, **more):
    """Pages that are being read."""
    facts = {"state": Scan.State.READING, "pages": 3, "name": "pages.pdf", "by": "Ann"}
    return Scan.objects.create(contest=contest, digest=digest, **facts | more)


def scanned(contest, *cards, scan=None, page=1):
    """The cards of one page, taken in; gives back how they are kept."""
    scan = scan or Scan.objects.filter(contest=contest).first() or a_scan(contest)
    assert take_page(scan, page, cards)
    return list(scan.cards.filter(page=page).order_by("place"))

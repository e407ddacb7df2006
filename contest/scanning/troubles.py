"""Why a card goes to a person, and why pages were not read to their end, in words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from django.utils.translation import gettext_lazy as _

from contest.scanning.reader import Trouble

UNKNOWN_NUMBER = "unknown_number"
WRONG_CLASS = "wrong_class"
WRONG_PART = "wrong_part"
ABSENT = "absent"
SEEN_TWICE = "seen_twice"
SETTLED = "settled"
WASHED_OUT = "washed_out"  # of test cards alone

WORDS = {
    Trouble.TWO_MARKS: _("two animals are marked for one place"),
    Trouble.IMPOSSIBLE: _("an animal is marked for two places"),
    Trouble.BLANK_POSITION: _("a place has no mark"),
    Trouble.KEPT_AND_CULLED: _("an animal is marked as kept and as culled"),
    Trouble.NEITHER: _("an animal is marked neither as kept nor as culled"),
    Trouble.WRONG_COUNT: _("more or fewer animals are kept than should be"),
    Trouble.TWO_ANSWERS: _("a question has more than one answer"),
    Trouble.OTHER_FORM: _("the questions of its part were changed after it was printed"),
    Trouble.BLANK: _("nothing is marked"),
    Trouble.FAINT: _("a mark is too faint"),
    Trouble.CROSSED_OUT: _("something may be crossed out"),
    Trouble.NUMBER_UNSURE: _("the number is not sure"),
    Trouble.CODE_DAMAGED: _("its square code cannot be read"),
    Trouble.OTHER_CONTEST: _("it is of another contest or year"),
    Trouble.NOT_OURS: _("its square code is none of ours"),
    Trouble.UNKNOWN_CLASS: _("the contest has no such class"),
    Trouble.CUT_OFF: _("a part of it lies outside the picture"),
    Trouble.BENT: _("the card is bent"),
    Trouble.DARK: _("the picture is too dark or too pale"),
    UNKNOWN_NUMBER: _("nobody has this number"),
    WRONG_CLASS: _("the contestant does not judge this class"),
    WRONG_PART: _("the contestant does not do this part"),
    ABSENT: _("the contestant is marked as absent"),
    SEEN_TWICE: _("a card of this contestant for this class was scanned before"),
    SETTLED: _("this card is settled already"),
    WASHED_OUT: _("the paper was made entirely white"),
}
"""By code: those of the reader, and those that a contest's tables tell."""


class Halt(NamedTuple):
    """Why pages were not read to their end, and what to do about it. `skips`: the page where it stopped can be left
    out."""

    why: object
    skips: bool = False


HALTS = {
    "damaged": Halt(_("The file is damaged from here on. Scan these pages once more."), skips=True),
    "locked": Halt(_("The file is locked by a password. Save it without one, and bring it again.")),
    "too_large": Halt(
        _("The picture is larger than 50 million dots. Take it smaller, and bring it again."), skips=True
    ),
    "unknown": Halt(_("It is neither a PDF nor a picture that can be read. Save it as PDF, JPEG or PNG."), skips=True),
    "memory": Halt(_("This page needs more memory than one may. Scan it at 200 dots an inch, grey."), skips=True),
    "too_long": Halt(_("This page takes too long to be read. Scan it at 200 dots an inch, grey."), skips=True),
    "died": Halt(_("This page stopped whatever tried to read it."), skips=True),
    "gone": Halt(_("The file is no longer in the data folder. Bring it again: it goes on where it stopped.")),
    "disk": Halt(_("The data folder could not be written to or read. Mend that, and go on.")),
}
"""By code, as `Scan.trouble` has it."""


def in_words(codes: Iterable[str]) -> list[str]:
    """What is the matter with a card, a sentence's part each; a code that nobody knows any more is said as it is."""
    return [str(WORDS.get(code, code)) for code in codes]

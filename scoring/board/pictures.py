"""How a class was placed, for the officials' critique: how many gave each placing, and never who."""

from __future__ import annotations

from dataclasses import dataclass

from contest.models import Contest
from contest.records.tallying import tallied
from scoring.announced.keys import shown_key
from scoring.core.class_picture import BOARD, PAGE, ClassPicture, class_picture
from scoring.core.common import commonest, given_in, most_did
from scoring.core.placing import ANIMALS, grid


@dataclass(frozen=True, slots=True)
class PictureOnBoard:
    """The same picture as a projector and as a phone can show it, and what most did, in words. Other than four animals
    have none: the placings that were given stand in its place, the commonest first."""

    wide: ClassPicture | None
    narrow: ClassPicture | None
    most: str
    commonest: tuple[tuple[str, int], ...] = ()


def picture_on_board(contest: Contest, number: int) -> PictureOnBoard | None:
    """How those who are here placed a class, by the key that is shown; None where none is."""
    judged = contest.classes.get(number=number)
    shown = shown_key(judged)
    if shown is None:
        return None
    given = given_in(tallied(contest).record, number)
    wide = narrow = None
    if len(judged.animals) == len(ANIMALS):
        points = dict(grid(shown.key.official, shown.key.cuts, judged.perfect, judged.animals))
        wide, narrow = (class_picture(shown.key.official, points, given, layout) for layout in (BOARD, PAGE))
    return PictureOnBoard(wide, narrow, most_did(given), commonest(given))

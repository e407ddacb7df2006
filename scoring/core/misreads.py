"""What one misread could have made of what stands on a card or slip: the values that may be on the paper instead.

* On a card, two neighbouring animals exchanged: for 3124 that is 1324, 3214 or 3142. One animal misread for another
  gives no placing, and is refused when it is typed.
* Of a reasons score, one to ten points more or less, one digit another, or two neighbouring digits exchanged.
* Of what was kept, one animal for another: with another number of animals a card is looked at in any case.
* Of a row of answers, one that is right for one that is wrong, or the other way round (`questions.misread_points`).
* Of a mark, one digit another, or two neighbouring digits exchanged.
"""

from __future__ import annotations

from scoring.core.record import HUNDREDTHS

OFF_BY = 10
"""Points by which a reasons score may be off."""


def neighbours_exchanged(text: str) -> list[str]:
    """All that differ by one exchange of neighbours."""
    return [text[:place] + text[place + 1] + text[place] + text[place + 2 :] for place in range(len(text) - 1)]


def other_choices(kept: str, animals: str) -> list[str]:
    """All that differ by one animal that was kept for one that was not."""
    return [kept.replace(one, other) for one in kept for other in animals if other not in kept]


def other_scores(hundredths: int, most: int) -> set[int]:
    """What a reasons score may be instead, in hundredths, at most `most`."""
    off = {hundredths + points * HUNDREDTHS for points in range(-OFF_BY, OFF_BY + 1) if points}
    return {other for other in off if 0 <= other <= most} | other_marks(hundredths, most)


def other_marks(hundredths: int, most: int) -> set[int]:
    """What a mark may be instead, in hundredths, at most `most`; digits behind the point are left alone."""
    whole, rest = divmod(hundredths, HUNDREDTHS)
    digits = str(whole)
    typed = {digits[:place] + other + digits[place + 1 :] for place in range(len(digits)) for other in "0123456789"}
    others = {int(text) * HUNDREDTHS + rest for text in typed.union(neighbours_exchanged(digits))}
    return {other for other in others if other <= most and other != hundredths}
